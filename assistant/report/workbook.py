"""Tables as an XLSX workbook: numbers are numbers, and nothing that was said is a formula."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

from assistant.record.moment import parse_moment
from assistant.report.printable import printable

Rows = Sequence[Sequence[str]]

_NUMBER = re.compile(r"(?!-0(?![.0-9]*[1-9]))-?(?:0|[1-9][0-9]*)(?:\.([0-9]+))?")
"""As a spreadsheet shows it again: "007" is a name, and "-0" no number of its own."""
_DIGITS = 15
"""A spreadsheet keeps no more; a longer number stays text."""
_LONGEST = 32_767
_WIDEST = 60


def workbook(sheets: Mapping[str, Rows], made: str = "") -> bytes:
    """An XLSX file of these sheets; the first row of each is its heading. ``made`` is the moment
    (RFC 3339) that the file says it is of.

    A decimal such as "12.50" becomes a number shown with the decimals it was said with. All else
    is text, which no spreadsheet takes for a formula, not even when it is edited; what a
    spreadsheet can't hold (control characters) is shown by a mark.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook(write_only=False)
    book.remove(book.worksheets[0])
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for r, row in enumerate(rows, start=1):
            for c, text in enumerate(row, start=1):
                _fill(sheet.cell(r, c), text)
        for cell in sheet[1] if rows else ():
            cell.font = Font(bold=True)
        sheet.freeze_panes = "A2"
        for column in sheet.columns:
            widest = max(len(str(cell.value or "")) for cell in column)
            letter = column[0].column_letter
            sheet.column_dimensions[letter].width = min(widest, _WIDEST) + 2
    book.properties.creator = "benchcall"
    book.properties.created = book.properties.modified = _moment(made)
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _fill(cell: object, text: str) -> None:
    from openpyxl.cell.cell import Cell

    assert isinstance(cell, Cell)
    match = _NUMBER.fullmatch(text)
    if match and len(text.replace("-", "").replace(".", "").lstrip("0")) <= _DIGITS:
        decimals = len(match[1] or "")
        cell.value = float(text) if decimals else int(text)
        cell.number_format = f"0.{'0' * decimals}" if decimals else "0"
        return
    if not text:
        return
    words = printable(text)
    cell.value = words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}…"
    cell.data_type = "s"
    cell.quotePrefix = True  # as if typed behind an apostrophe


def _moment(text: str) -> datetime:
    """Workbooks know no zone: UTC."""
    try:
        return parse_moment(text).astimezone(UTC).replace(tzinfo=None)
    except ValueError:
        return datetime(2000, 1, 1)
