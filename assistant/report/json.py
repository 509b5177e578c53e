"""A session as one JSON document, of the objects that ``--json`` prints a line each.

    {"format": 1, "session": {…}, "readings": [{"kind": "reading", …}], "observations": […],
     "notes": […], "superseded": […], "findings": […], "causes": […], "next_checks": […],
     "repairs": […], "verdict": {…}}

``session.schema.json`` beside this file is its JSON Schema. A value is a decimal string, so that
the said resolution is kept. A superseded entry names what replaced it in ``replaced_by``. Readers
ignore keys that they don't know.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from assistant.record.body import reading_json
from assistant.record.session import Observation, Reading
from assistant.report.contents import Report
from assistant.report.lines import diagnosis_lines

FORMAT = 1
_LISTS = {
    "finding": "findings",
    "cause": "causes",
    "next_check": "next_checks",
    "repair": "repairs",
}


def to_json(report: Report) -> str:
    """The document, in ASCII so that no reader can misread it, with a line end."""
    return json.dumps(document(report), indent=1) + "\n"


def document(report: Report) -> dict[str, Any]:
    """The document as plain values."""
    session = report.session
    content: dict[str, Any] = {
        "format": FORMAT,
        "session": {
            "id": session.id,
            "profile": session.profile,
            "opened": session.opened,
            "closed": session.closed,
            "who": session.who,
            "unit": session.unit,
            "head": session.head,
            "signed": asdict(session.signed) if session.signed else None,
            "conflicts": list(session.conflicts),
            "opening": dict(session.opening),
        },
        "readings": [_entry(r, session.id) for r in session.readings],
        "observations": [_entry(o, session.id) for o in session.observations],
        "notes": [
            {"kind": "note" if note.understood else "not_understood", **asdict(note)}
            for note in session.notes
        ],
        "superseded": [
            _entry(old, session.id) | {"replaced_by": session.replaced_by.get(old.id)}
            for old in session.superseded
        ],
        **{name: [] for name in _LISTS.values()},
    }
    for line in diagnosis_lines(report.diagnosis, session):
        if line["kind"] in _LISTS:
            content[_LISTS[line["kind"]]].append(line)
        else:
            content[line["kind"]] = line
    return content


def _entry(entry: Reading | Observation, session: str) -> dict[str, Any]:
    if isinstance(entry, Reading):
        return reading_json(entry, session)
    return {"kind": "observation", "session": session, **asdict(entry)}
