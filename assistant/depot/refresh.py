"""Brings the index up to date with the journals on the disk.

A session is read again when its files have changed (by size and time), or the software or its
profile has; ``every`` reads them all, for when an index is not to be trusted. A hundred sessions
go in at a time, so that nothing else waits long and a stop half way loses little.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from assistant.depot.database import Depot, upsert
from assistant.depot.days import day_of
from assistant.depot.listed import WEIGHTS, SessionRow
from assistant.depot.summary import Summary, summary_of, trade_key
from assistant.depot.tables import parts, readings, said, sessions, words
from assistant.record.store import JOURNAL, REVIEW

Progress = Callable[[int, int], None]
"""Called with how many sessions are done, and of how many."""

GONE = (
    "It was indexed once, and its folder is no longer there. Restore it from a backup, or find "
    "out who took it away."
)
_TOGETHER = 100
_FIELDS = tuple(field.name for field in fields(SessionRow))


@dataclass(frozen=True, slots=True)
class Refreshed:
    """``broken`` holds, for each session that is damaged or missing, its id and what is wrong."""

    seen: int
    indexed: int
    broken: tuple[tuple[str, str], ...] = ()


def refresh(depot: Depot, progress: Progress | None = None, *, every: bool = False) -> Refreshed:
    """Index what is new or has changed (``every``: all), and mark what is gone.

    Raises RecordError when the database can't be written.
    """
    with depot.reading() as connection:
        rows = connection.execute(select(sessions.c.id, sessions.c.stamp, sessions.c.profile))
        known = {row.id: (row.stamp, row.profile) for row in rows}
    there = depot.store.names()
    keys: dict[str, str] = {}
    changed = []
    for name in there:
        stamp, profile = known.get(name, ("", ""))
        key = keys.setdefault(profile, trade_key(profile, depot.store.home))
        if every or stamp != stamp_of(depot.store.folder / name, key):
            changed.append(name)
    done = 0
    for start in range(0, len(changed), _TOGETHER):
        batch = [summarise(depot, name) for name in changed[start : start + _TOGETHER]]
        with depot.writing() as connection:
            enter(connection, [one for one in batch if _is_current(depot, one)])
        done += len(batch)
        if progress is not None:
            progress(done, len(changed))
    with depot.writing() as connection:
        _mark_gone(connection, known.keys() - set(there))
        where = select(sessions.c.id, sessions.c.trouble).where(sessions.c.chain != "whole")
        broken = tuple((row.id, row.trouble) for row in connection.execute(where))
    return Refreshed(len(there), len(changed), tuple(sorted(broken)))


def refresh_one(depot: Depot, name: str) -> SessionRow:
    """Index one session as it is on the disk now, and give its row."""
    summary = summarise(depot, name)
    with depot.writing() as connection:
        enter(connection, [summary])
    return summary.row


def stamp_of(folder: Path, key: str) -> str:
    """Changes whenever a journal was written, or what verdicts depend on has changed."""
    told = [key]
    place = str(folder)
    for name in (JOURNAL, REVIEW):
        try:
            status = os.stat(f"{place}{os.sep}{name}")  # noqa: PTH116 (a Path takes twice as long)
            told.append(f"{status.st_size}:{status.st_mtime_ns}")
        except OSError:
            told.append("-")
    return " ".join(told)


def enter(connection: Connection, summaries: Iterable[Summary]) -> None:
    """Put the rows of these sessions in the place of those that were there."""
    for summary in summaries:
        row = summary.row
        connection.execute(upsert(connection, sessions, row_values(row, summary.stamp)))
        for table in (readings, parts, said):
            connection.execute(delete(table).where(table.c.session == row.id))
        common: dict[str, Any] = {"session": row.id, "unit": row.unit, "opened": row.opened}
        if summary.readings:
            more = common | {"technician": row.technician, "profile": row.profile}
            connection.execute(readings.insert(), [more | r for r in summary.readings])
        if summary.parts:
            when = common | {"day": day_of(row.opened)}
            fitted = [when | {"entry": entry, "part": part} for entry, part in summary.parts]
            connection.execute(parts.insert(), fitted)
        if summary.words:
            ids = _word_ids(connection, summary.words)
            lines = [
                {"word": number, "opened": row.opened, "session": row.id}
                for number in sorted(ids.values())
            ]
            connection.execute(said.insert(), lines)


def row_values(row: SessionRow, stamp: str) -> dict[str, Any]:
    """The row as its table holds it."""
    values: dict[str, Any] = {name: getattr(row, name) for name in _FIELDS}
    return values | {"parts": "\n".join(row.parts), "day": day_of(row.opened), "stamp": stamp}


def summarise(depot: Depot, name: str) -> Summary:
    """The stamp is taken before the files are read: what is written meanwhile is seen next time."""
    folder = depot.store.folder / name
    before = stamp_of(folder, "")
    summary = summary_of(folder)
    key = trade_key(summary.row.profile, depot.store.home)
    return replace(summary, stamp=f"{key}{before}")


def _is_current(depot: Depot, summary: Summary) -> bool:
    """Whether nothing was written since it was made: else whoever wrote has entered more."""
    row = summary.row
    folder = depot.store.folder / row.id
    return summary.stamp == stamp_of(folder, trade_key(row.profile, depot.store.home))


def _word_ids(connection: Connection, wanted: frozenset[str]) -> dict[str, int]:
    def known() -> dict[str, int]:
        found = connection.execute(select(words.c.word, words.c.id).where(words.c.word.in_(wanted)))
        return {row.word: row.id for row in found}

    ids = known()
    new = sorted(wanted - ids.keys())
    if not new:
        return ids
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(words).on_conflict_do_nothing(index_elements=["word"])
    connection.execute(insert, [{"word": word} for word in new])
    return known()


def _mark_gone(connection: Connection, names: Iterable[str]) -> None:
    for name in names:
        connection.execute(
            update(sessions)
            .where(sessions.c.id == name, sessions.c.chain != "missing")
            .values(chain="missing", trouble=GONE, attention=WEIGHTS["chain"], stamp="")
        )
