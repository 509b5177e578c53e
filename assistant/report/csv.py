"""A session as one table for a spreadsheet: RFC 4180, UTF-8, one row an entry.

A reading's number stays a number, the negative ones too. Any other cell that a spreadsheet could
take for a formula gets an apostrophe before it, since a note may say anything; and what would
steer a terminal that prints the file is shown by a mark. The words as they were heard are in the
journal and in the JSON report.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from assistant.diagnosis.finding import Verdict
from assistant.record.session import Observation, Reading
from assistant.report.contents import Report
from assistant.report.each_reading import verdicts_of_each
from assistant.report.printable import printable

COLUMNS = (
    "session",
    "unit",
    "kind",
    "id",
    "at",
    "item",
    "position",
    "value",
    "state",
    "unit_code",
    "context",
    "status",
    "missing",
    "verdict",
    "confidence",
    "heard",
    "replaced_by",
    "source",
    "start",
    "end",
)
"""``unit`` is the mower, ``unit_code`` the value's UCUM code. ``replaced_by`` holds the id of the
entry that replaced or withdrew this one; the row is then out of force."""

_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)
_FORMULA = tuple("=+-@＝＋－＠")


def to_csv(report: Report) -> str:
    """The table with its heading; lines end in CR LF."""
    buffer = io.StringIO(newline="")
    writer = csv.DictWriter(buffer, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for row in table(report):
        writer.writerow({key: safe(value) for key, value in row.items()})
    return buffer.getvalue()


def safe(cell: str) -> str:
    """The cell as it is where it is a plain decimal or harmless, else behind an apostrophe.

    >>> safe("-65"), safe("=1+1"), safe("-65+1"), safe("seal\\x1b[2J")
    ('-65', "'=1+1", "'-65+1", 'seal�[2J')
    """
    cell = printable(cell)
    if _NUMBER.fullmatch(cell) or not cell.lstrip(" ").startswith(_FORMULA):
        return cell
    return f"'{cell}"


def table(report: Report) -> Iterator[dict[str, str]]:
    """The rows as they are, before a spreadsheet is thought of."""
    session = report.session
    verdicts = verdicts_of_each(report.profile, report.diagnosis.findings)
    for entry in (*session.readings, *session.observations, *session.superseded):
        yield _entry(entry, report, verdicts.get(entry.id))
    for note in session.notes:
        kind = "note" if note.understood else "not_understood"
        yield _common(report) | {"kind": kind, "id": note.id, "at": note.at, "heard": note.text}


def _common(report: Report) -> dict[str, str]:
    return {"session": report.session.id, "unit": report.session.unit}


def _entry(entry: Reading | Observation, report: Report, verdict: Verdict | None) -> dict[str, str]:
    row = _common(report) | {
        "id": entry.id,
        "at": entry.at,
        "value": entry.value or "",
        "status": entry.status,
        "verdict": verdict or "",
        "heard": entry.heard,
        "replaced_by": report.session.replaced_by.get(entry.id, ""),
    }
    if isinstance(entry, Observation):
        return row | {"kind": "observation", "item": entry.item}
    return row | {
        "kind": "reading",
        "item": entry.quantity,
        "position": entry.position or "",
        "state": entry.state,
        "unit_code": entry.unit,
        "context": ";".join(f"{key}={value}" for key, value in sorted(entry.context.items())),
        "missing": ";".join(entry.missing),
        "confidence": f"{entry.confidence:.2f}",
        "source": entry.source,
        "start": f"{entry.start:.2f}",
        "end": f"{entry.end:.2f}",
    }
