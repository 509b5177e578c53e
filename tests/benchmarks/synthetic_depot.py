"""Fills an index with invented sessions, so that the list can be measured at a depot's full size.

    python tests/benchmarks/synthetic_depot.py HOME [sessions] [--url postgresql://…]

Every row is synthetic: units, initials, complaints and readings are drawn at random, from nothing
that happened. Beside each row lies a journal of one line, so that the rows stand up to a refresh;
its stamp says that it was indexed, though nobody diagnosed it.
"""

from __future__ import annotations

import argparse
import json
import random
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection, select

from assistant.depot.database import Depot, open_depot
from assistant.depot.days import day_of
from assistant.depot.listed import SessionRow, attention_of
from assistant.depot.refresh import row_values, stamp_of
from assistant.depot.search import words_of
from assistant.depot.summary import trade_key
from assistant.depot.tables import parts, readings, said, sessions, words
from assistant.record.entry import NOTHING_BEFORE, encode
from assistant.record.moment import stamp
from assistant.record.store import JOURNAL, Store

UNITS = 400
INITIALS = ("AB", "CD", "EF", "GH", "KL", "MN", "PQ", "RS", "TU", "VW", "XY", "ZA")
CAUSES = (
    ("guide_wire_out_of_line", "guide wire out of line"),
    ("contacts_worn", "charging contacts worn or dirty"),
    ("front_sensor", "front loop sensor"),
    ("station_off_level", "station off level"),
    ("boundary_break", "break in the boundary wire"),
)
_SAID = (
    "misses the station stops at the gate hums beside pond path hedge slope wet grass lamp cable "
    "loop fault every morning after rain will not charge turns left right twice slow stuck on "
    "root edge border bed memorial bench chapel yard lawn north south gate again"
)
WORDS = tuple(_SAID.split())
PARTS = ("front sensor", "charging contacts", "splice", "antenna wire", "blade disc")
BATCH = 2000


def invented(number: int, chance: random.Random) -> SessionRow:
    """One row; the same ``number`` and seed give the same one."""
    opened = datetime(2016, 1, 4, 7, tzinfo=UTC) + timedelta(minutes=53 * number)
    unit = str(chance.randint(1, UNITS))
    outcome = chance.choices(("clean", "faulty", "unproven", "proven"), (40, 15, 5, 40))[0]
    cause, title = chance.choice(CAUSES) if outcome != "clean" else ("", "")
    signed = chance.random() < 0.93
    at = stamp(opened + timedelta(hours=6))
    row = SessionRow(
        id=f"{opened:%Y%m%d-%H%M%S}-unit{unit}-{number % 65536:04x}",
        unit=unit,
        technician=chance.choice(INITIALS),
        profile="robot_mower",
        opened=stamp(opened),
        closed=stamp(opened + timedelta(minutes=40)),
        head=f"{chance.getrandbits(256):064x}",
        signed_by="MB" if signed else "",
        signed_at=at if signed else "",
        signed_current=signed and chance.random() < 0.999,
        readings=chance.randint(4, 20),
        questions=chance.choices((0, 1, 2), (95, 4, 1))[0],
        out=0 if outcome == "clean" else chance.randint(1, 3),
        unproven=1 if outcome == "unproven" else 0,
        cause=cause,
        cause_title=title,
        chance=round(chance.uniform(0.5, 0.99), 4) if cause else 0.0,
        complaint=" ".join(chance.choices(WORDS, k=chance.randint(4, 9))),
        parts=(chance.choice(PARTS),) if outcome in ("proven", "unproven") else (),
        minutes=float(chance.randint(5, 90)),
        lasted=40.0,
        outcome=outcome,
    )
    return replace(row, attention=attention_of(row))


def fill(depot: Depot, count: int) -> None:
    """``count`` sessions into an empty index, with their one-line journals."""
    chance = random.Random(8)
    key = trade_key("robot_mower", depot.store.home)
    depot.store.folder.mkdir(parents=True, exist_ok=True)
    with depot.writing() as connection:
        ids = _vocabulary(connection)
    for start in range(0, count, BATCH):
        rows = [invented(number, chance) for number in range(start, min(start + BATCH, count))]
        stamps = {row.id: stamp_of(_journal(depot.store.folder, row), key) for row in rows}
        with depot.writing() as connection:
            connection.execute(sessions.insert(), [row_values(r, stamps[r.id]) for r in rows])
            measured = [line for row in rows for line in _readings(row, chance)]
            connection.execute(readings.insert(), measured)
            if fitted := [line for row in rows for line in _parts(row)]:
                connection.execute(parts.insert(), fitted)
            connection.execute(said.insert(), [s for row in rows for s in _said(row, ids)])


def _journal(folder: Path, row: SessionRow) -> Path:
    """Written without flushing: no one relies on it."""
    folder = folder / row.id
    folder.mkdir()
    body = {
        "format": 1,
        "session": row.id,
        "profile": row.profile,
        "who": row.technician,
        "unit": row.unit,
    }
    line = encode(1, row.opened, "opened", body, NOTHING_BEFORE)
    (folder / JOURNAL).write_bytes(line + b"\n")
    return folder


def _vocabulary(connection: Connection) -> dict[str, int]:
    texts = [
        *WORDS,
        *INITIALS,
        *PARTS,
        *(title for _, title in CAUSES),
        *map(str, range(UNITS + 1)),
    ]
    connection.execute(words.insert(), [{"word": word} for word in sorted(words_of(*texts))])
    return {row.word: row.id for row in connection.execute(select(words.c.word, words.c.id))}


def _said(row: SessionRow, ids: dict[str, int]) -> Iterator[dict[str, object]]:
    for word in words_of(row.unit, row.technician, row.complaint, row.cause_title, *row.parts):
        yield {"word": ids[word], "opened": row.opened, "session": row.id}


def _readings(row: SessionRow, chance: random.Random) -> Iterator[dict[str, object]]:
    for number, position in enumerate(("front", "rear"), start=2):
        value = chance.randint(80, 120)
        yield {
            "session": row.id,
            "entry": str(number),
            "unit": row.unit,
            "opened": row.opened,
            "technician": row.technician,
            "profile": row.profile,
            "quantity": "guide_signal",
            "position": position,
            "context": json.dumps({"station": "undocked"}),
            "at": row.opened,
            "value": str(value),
            "number": float(value),
            "over_wire": True,
            "verdict": "ok",
        }


def _parts(row: SessionRow) -> Iterator[dict[str, object]]:
    for number, part in enumerate(row.parts, start=9):
        yield {
            "session": row.id,
            "entry": str(number),
            "unit": row.unit,
            "opened": row.opened,
            "day": day_of(row.opened),
            "part": part,
        }


def main() -> None:
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("home", type=Path)
    told.add_argument("sessions", type=int, nargs="?", default=100_000)
    told.add_argument("--url", default="")
    options = told.parse_args()
    began = time.perf_counter()
    depot = open_depot(Store(options.home), options.url)
    fill(depot, options.sessions)
    depot.close()
    took = time.perf_counter() - began
    print(f"{options.sessions} synthetic sessions in {options.home}, {took:.0f} s")


if __name__ == "__main__":
    main()
