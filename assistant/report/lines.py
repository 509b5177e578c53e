"""What happened in a session as JSON objects, one a line: what ``--json`` prints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from assistant.diagnosis.finding import Cause, Diagnosis, Finding, NextCheck
from assistant.record.body import reading_json, reading_of
from assistant.record.entry import Entry
from assistant.record.session import Session

Line = dict[str, Any]


def entry_lines(entry: Entry, session: Session) -> Iterator[Line]:
    """The line of one entry, and again each reading that it completed or put right (same id)."""
    if entry.kind == "reading":
        yield reading_json(reading_of(entry.id, entry.at, entry.body), session.id)
        return
    body = {key: value for key, value in entry.body.items() if key != "changes"}
    yield {"kind": entry.kind, "id": entry.id, "session": session.id, "at": entry.at, **body}
    changed = entry.body.get("changes", {})
    for reading in session.readings:
        if reading.id in changed:
            yield reading_json(reading, session.id)


def diagnosis_lines(diagnosis: Diagnosis, session: Session) -> Iterator[Line]:
    """Findings, causes in falling order, next checks best first, and what they come to."""
    for finding in diagnosis.findings:
        yield finding_line(finding, session)
    for cause in diagnosis.causes:
        yield _cause_line(cause, session)
    for check in diagnosis.next_checks:
        yield _check_line(check, session)
    for proof in diagnosis.repairs:
        yield {"kind": "repair", "session": session.id, **asdict(proof)}
    yield {
        "kind": "verdict",
        "session": session.id,
        "enough": diagnosis.enough,
        "verdict": diagnosis.verdict,
        "proven": diagnosis.proven,
        "ready_for_use": diagnosis.ready_for_use,
        "release_missing": list(diagnosis.release_missing),
        "open_questions": [reading.id for reading in session.open_questions],
        "head": session.head,
    }


def finding_line(finding: Finding, session: Session) -> Line:
    return {"kind": "finding", "session": session.id, **asdict(finding)}


def _cause_line(cause: Cause, session: Session) -> Line:
    return {
        "kind": "cause",
        "session": session.id,
        "cause": cause.cause,
        "title": cause.title,
        "probability": round(cause.probability, 4),
        "for": list(cause.reasons_for),
        "against": list(cause.reasons_against),
        "remedy": cause.remedy,
        "caution": cause.caution,
    }


def _check_line(check: NextCheck, session: Session) -> Line:
    line = asdict(check) | {"gain_bits": round(check.gain_bits, 3)}
    return {"kind": "next_check", "session": session.id, **line}
