"""Journals: what was acknowledged comes back, or a line is named; what is sealed but strange is
told, and never breaks a reader."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from assistant.diagnosis.causes import FaultModel, fault_model
from assistant.diagnosis.diagnose import diagnose
from assistant.errors import RecordError
from assistant.profile import Profile, load_profile
from assistant.record.chain import read_chain
from assistant.record.entry import KINDS, NOTHING_BEFORE, Entry, decode, encode
from assistant.record.journal import Journal
from assistant.record.replay import replay
from assistant.record.session import Session
from assistant.report.contents import report_of
from assistant.report.csv import to_csv
from assistant.report.json import to_json

from .bytes_of_chance import Chance

AT = "2026-11-25T17:13:05.120Z"
STRANGE: tuple[Any, ...] = (
    *(None, True, 0, -1, 1.5, 2**53 - 1, "", "1", "2", "9", "r2", "\u202e", "x" * 500),
    *([], [[]], ["1"], {}, {"1": {}}, {"2": {"value": "9"}}, {"2": {"status": []}}, {"a": None}),
)
READING: dict[str, Any] = {
    "quantity": "guide_signal",
    "position": "front",
    "value": "102",
    "state": "value",
    "unit": "1",
    "context": {"station": "docked"},
    "status": "accepted",
    "missing": [],
    "heard": "guide front one oh two",
    "confidence": 0.9,
    "source": "",
    "replaces": None,
}
BODIES: tuple[tuple[Any, dict[str, Any]], ...] = (
    ("opened", {"session": "s", "profile": "robot_mower", "who": "KL", "unit": "14"}),
    ("reading", READING),
    ("context", {"key": "station", "value": "docked", "changes": {"2": {"status": "asked"}}}),
    ("observation", {"item": "blades", "value": "worn", "heard": "", "replaces": None}),
    ("note", {"text": 'says ,"sha256":"' + "0" * 64 + '"}\n'}),
    ("reading", {**READING, "value": "-65", "replaces": "2"}),
    ("withdrawal", {"entry": "4", "heard": "disregard"}),
    ("command", {"command": "why", "argument": "", "heard": "why", "changes": {}}),
    ("not_understood", {"text": "banana", "reason": "?"}),
    ("closed", {}),
)


def sealed(bodies: list[tuple[Any, dict[str, Any]]]) -> list[bytes]:
    lines: list[bytes] = []
    previous = NOTHING_BEFORE
    for seq, (kind, body) in enumerate(bodies, start=1):
        lines.append(encode(seq, AT, kind, body, previous))
        previous = decode(lines[-1]).sha256
    return lines


@cache
def whole() -> tuple[bytes, ...]:
    return tuple(sealed(list(BODIES)))


@cache
def folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="benchcall-fuzz-"))


def seeds() -> list[bytes]:
    return [bytes([kind, at, at, at, at, at]) for kind in range(10) for at in range(0, 250, 17)]


def check(data: bytes) -> None:
    chance = Chance(data)
    if chance.number(2):
        spoilt(chance)
    else:
        strange(chance)


def spoilt(chance: Chance) -> None:
    """Bytes of a good journal changed: nothing that was not written may come back."""
    good = [decode(line) for line in whole()]
    data = b"".join(line + b"\n" for line in whole())
    while chance:
        kind, at = chance.number(6), chance.number(len(data) + 1)
        size = chance.number(64)
        if kind == 0:
            data = data[:at]
        elif kind == 1:
            data = data[:at] + chance.raw(16) + data[at:]
        elif kind == 2:
            data = data[:at] + data[at + size :]
        elif kind == 3:
            data = data[:at] + bytes([chance.number(256)]) + data[at + 1 :]
        elif kind == 4:
            lines = data.split(b"\n")
            lines.insert(chance.number(len(lines)), lines[at % len(lines)])
            data = b"\n".join(lines)
        else:
            data = data[:at] + bytes(size)
    chain = read_chain(data)
    assert list(chain.entries) == good[: len(chain.entries)], "an entry that nobody wrote"
    assert data[: chain.length] == b"".join(line + b"\n" for line in whole())[: chain.length]
    if chain.damage is None:
        assert chain.length + len(chain.tail) == len(data)
        assert b"\n" not in chain.tail
    else:
        assert chain.damage.line == len(chain.entries) + 1
        assert all(entry in good for entry in chain.damage.later)
    reopened(data, chain.entries, None if chain.damage is None else chain.damage.line)


def reopened(data: bytes, entries: tuple[Entry, ...], damaged: int | None) -> None:
    path = folder() / "journal.jsonl"
    for old in folder().iterdir():
        old.unlink()
    path.write_bytes(data)
    fsync, os.fsync = os.fsync, lambda _: None
    try:
        with Journal.reopen(path) as journal:
            assert journal.entries == entries
            journal.append("note", {"text": "on it goes"})
        assert damaged is None
        assert read_chain(path.read_bytes()).entries[:-1] == entries
    except RecordError as refused:
        why = str(refused)
        named = re.search(r"damaged at line (\d+):", why)
        assert path.read_bytes() == data, "a refused journal was changed"
        assert (int(named[1]) if named else None) == damaged
        assert named or "holds no entry" in why
    finally:
        os.fsync = fsync


def strange(chance: Chance) -> None:
    """Well-sealed entries of a shape that this version does not write, as a newer one might."""
    bodies = [(kind, dict(body)) for kind, body in BODIES]
    for _ in range(1 + chance.number(6)):
        at = 1 + chance.number(len(bodies) - 1) if chance.number(8) else 0
        kind, body = bodies[at]
        name = chance.one_of([*body, "changes", "by", "doubts", "ears", "says", "text"])
        what = chance.number(5)
        if what == 0:
            body.pop(name, None)
        elif what == 1:
            body[name] = chance.text(20).encode("utf-8", "replace").decode()
        elif what == 2:
            bodies.insert(1 + chance.number(len(bodies)), (kind if at else "note", dict(body)))
        elif what == 3 and at:
            bodies[at] = (chance.one_of(sorted(KINDS - {"opened"})), body)
        else:
            body[name] = chance.one_of(STRANGE)
    data = b"".join(line + b"\n" for line in sealed(bodies))
    entries = read_chain(data).trusted("j")
    assert [json.dumps(dict(e.body), sort_keys=True) for e in entries] == [
        json.dumps(body, sort_keys=True) for _, body in bodies
    ]
    try:
        session = replay(entries)
    except RecordError as refused:
        told = str(refused)
        assert re.match(r"Entry r?\d+ ", told), told
        return
    held = {item.id for item in (*session.readings, *session.observations, *session.notes)}
    assert held <= {entry.id for entry in entries}
    assert replay(entries) == session
    if chance.number(4) == 0:
        reported(session)


def reported(session: Session) -> None:
    """What can be read can be judged and printed, whatever stands in it."""
    profile, model = trade()
    report = report_of(session, profile, diagnose(session, profile, model))
    json.loads(to_json(report))
    for row in csv.reader(io.StringIO(to_csv(report).removeprefix("\ufeff"))):
        for cell in row:
            assert not re.match(r"[=@\t\r]|[+-](?![0-9.]+$)", cell), cell


@cache
def trade() -> tuple[Profile, FaultModel]:
    return load_profile(), fault_model(load_profile())
