"""The list of sessions as a file: a CSV table, a JSON document or a workbook."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import asdict, fields

from assistant.depot.database import Depot
from assistant.depot.listed import Filter, SessionRow
from assistant.depot.listing import MOST, sessions
from assistant.errors import UnknownNameError
from assistant.report.csv import safe
from assistant.report.workbook import workbook
from assistant.report.write import MEDIA_TYPES, Exported

MOST_ROWS = 10_000
"""Sessions in one file at the most: narrow the dates for more."""
COLUMNS = (*(field.name for field in fields(SessionRow)), "needs")


def export_sessions(
    depot: Depot, name: str, chosen: Filter | None = None, search: str = ""
) -> Exported:
    """The sessions that the list would show, newest first, in one format.

    Raises UnknownNameError for a format that there is not.
    """
    if name not in _MAKERS:
        raise UnknownNameError(f"There is no list as {name!r}; there are: {', '.join(_MAKERS)}.")
    rows: list[SessionRow] = []
    after: str | None = None
    while True:
        page = sessions(depot, chosen, search, after, MOST)
        rows += page.rows
        after = page.after
        if after is None or len(rows) >= MOST_ROWS:
            break
    return Exported(f"sessions.{name}", MEDIA_TYPES[name], _MAKERS[name](rows[:MOST_ROWS]))


def _csv(rows: Sequence[SessionRow]) -> bytes:
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow([safe(cell) for cell in _cells(row)])
    return buffer.getvalue().encode("utf-8", "replace")


def _json(rows: Sequence[SessionRow]) -> bytes:
    listed = [asdict(row) | {"needs": list(row.needs)} for row in rows]
    return (json.dumps({"format": 1, "sessions": listed}, indent=1) + "\n").encode()


def _xlsx(rows: Sequence[SessionRow]) -> bytes:
    made = max((row.opened for row in rows), default="")
    return workbook({"Sessions": [COLUMNS, *map(_cells, rows)]}, made)


_MAKERS = {"csv": _csv, "json": _json, "xlsx": _xlsx}


def _cells(row: SessionRow) -> list[str]:
    return [_cell(getattr(row, name)) for name in COLUMNS]


def _cell(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case tuple():
            return "; ".join(map(str, value))
        case float():
            return f"{value:.4f}".rstrip("0").rstrip(".")
    return str(value)
