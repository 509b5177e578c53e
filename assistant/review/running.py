"""The session that is running now, and what the screen at the bench shows of it.

It reads the journal as it grows and changes nothing. Which session is running: of the newest few,
the one written last.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.depot.summary import read_whole, trade
from assistant.diagnosis.diagnose import diagnose
from assistant.errors import ProfileError, UnknownNameError
from assistant.record.session import Session
from assistant.record.store import JOURNAL, REVIEW, Store
from assistant.report.contents import Report, Row, report_of
from assistant.report.verdicts import SIGNS, verdict_words
from assistant.review.lived import cautions

NEWEST = 20
BEFORE = 6
Shown = dict[str, Any]
_WORDS = "session unit label figure context sign verdict kind question headline caution action note"
EMPTY: Shown = {**dict.fromkeys(_WORDS.split(), ""), "before": []}


@dataclass(slots=True)
class Running:
    """Asked again and again; does work only when a file has changed."""

    store: Store
    _listed: int = 0
    _names: tuple[str, ...] = ()
    _seen: tuple[str, int, int] = ("", 0, 0)
    _shown: Shown | None = None

    def look(self) -> Shown | None:
        """What to show, None when nothing has changed since the last look."""
        name, stamp = self._latest()
        if self._shown is not None and (name, *stamp) == self._seen:
            return None
        self._seen = (name, *stamp)
        self._shown = shown(self.store.folder / name, self.store.home) if name else waiting()
        return self._shown

    def _latest(self) -> tuple[str, tuple[int, int]]:
        """The running session, with the time and size of its files."""
        try:
            changed = self.store.folder.stat().st_mtime_ns
        except OSError:
            return "", (0, 0)
        if changed != self._listed:
            self._listed, self._names = changed, self.store.names()[-NEWEST:]
        stamps = {name: _stamp(self.store.folder / name) for name in self._names}
        if not stamps:
            return "", (0, 0)
        name = max(stamps, key=lambda n: (stamps[n], n))
        return name, stamps[name]


def waiting() -> Shown:
    return EMPTY | {"note": "No session yet. It appears here as soon as benchcall listens."}


def shown(folder: Path, home: Path) -> Shown:
    """What the screen shows of the session in ``folder``."""
    session, trouble = read_whole(folder)
    if trouble:
        return EMPTY | {"unit": _unit(session), "note": trouble, "session": folder.name}
    try:
        profile, model = trade(session.profile, home)
    except (ProfileError, UnknownNameError) as error:
        return EMPTY | {"unit": _unit(session), "note": str(error), "session": folder.name}
    report = report_of(session, profile, diagnose(session, profile, model))
    return _of(report, session) | {"session": folder.name}


def _of(report: Report, session: Session) -> Shown:
    rows = {row.id: row for rows in report.groups.values() for row in rows}
    entered = [rows[reading.id] for reading in session.readings]
    latest = _row(entered[-1]) if entered else {}
    return EMPTY | {
        "unit": _unit(session),
        "headline": report.headline,
        "caution": " ".join(f"Caution: {text}" for text in cautions(report)),
        "action": f"Next: {report.action}" if report.action else "",
        "note": "This job is closed." if session.closed else "",
        **latest,
        "before": [_row(row) for row in entered[-1 - BEFORE : -1]][::-1],
    }


def _unit(session: Session) -> str:
    return f"Unit {session.unit}" if session.unit else "No unit named yet"


def _row(row: Row) -> Mapping[str, str]:
    asked = bool(row.question)
    return {
        "label": row.label,
        "figure": row.value,
        "context": row.context,
        "question": row.question.replace("?; ", "? "),
        "sign": "?" if asked else SIGNS[row.verdict] if row.verdict else "",
        "verdict": "open" if asked else verdict_words(row.verdict) if row.verdict else "",
        "kind": "asked" if asked else row.verdict or "",
    }


def _stamp(folder: Path) -> tuple[int, int]:
    """The newest time and the whole size of a session's files; a file that goes away counts
    nothing."""
    newest = size = 0
    for name in (JOURNAL, REVIEW):
        try:
            status = (folder / name).stat()
        except OSError:
            continue
        newest, size = max(newest, status.st_mtime_ns), size + status.st_size
    return newest, size
