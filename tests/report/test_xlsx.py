"""The workbook, read back by the library that spreadsheets' files are commonly read with."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from typing import Any

import openpyxl
import pytest
from hollin_bank import HOSTILE
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.session import Note
from assistant.report import Report
from assistant.report.csv import COLUMNS, table
from assistant.report.printable import printable
from assistant.report.workbook import workbook
from assistant.report.xlsx import to_xlsx


def sheet(data: bytes, name: str) -> list[list[Any]]:
    book = openpyxl.load_workbook(io.BytesIO(data))
    return [list(row) for row in book[name].iter_rows()]


def shown(cell: Any) -> str:
    """A cell as the spreadsheet shows it."""
    if isinstance(cell.value, int | float):
        return f"{cell.value:.{len(cell.number_format.partition('.')[2])}f}"
    return cell.value or ""


def test_the_entries_come_back_as_the_table_has_them(report: Report) -> None:
    heading, *rows = sheet(to_xlsx(report), "Entries")
    assert [cell.value for cell in heading] == list(COLUMNS)
    back = [{name: shown(c) for name, c in zip(COLUMNS, row, strict=True)} for row in rows]
    assert back == [{name: row.get(name, "") for name in COLUMNS} for row in table(report)]


def test_a_negative_reading_is_a_number_and_keeps_its_decimals(report: Report) -> None:
    column = COLUMNS.index("value")
    values = [row[column] for row in sheet(to_xlsx(report), "Entries")[1:]]
    assert [c.value for c in values if c.value == -65] == [-65]
    [volts] = [c for c in values if c.value == 18.4]
    assert volts.number_format == "0.00"
    assert {c.data_type for c in values if shown(c).lstrip("-").replace(".", "").isdigit()} == {"n"}


@pytest.mark.parametrize("hostile", [*HOSTILE, "=1+1", "+1", "-1+1", "@x", "\t=1", "＝1", "-1e5"])
def test_hostile_words_are_text_and_never_a_formula(
    make: Callable[..., Report], hostile: str
) -> None:
    data = to_xlsx(make(notes=(Note("30", hostile),)))
    last = sheet(data, "Entries")[-1][COLUMNS.index("heard")]
    assert last.value == printable(hostile)
    assert last.data_type == "s"
    assert last.quotePrefix
    for name in (archive := zipfile.ZipFile(io.BytesIO(data))).namelist():
        if name.startswith("xl/worksheets/"):
            assert b"<f>" not in archive.read(name)


@given(st.text(max_size=40))
def test_any_text_comes_back_as_it_can_be_shown(words: str) -> None:
    [[_], [cell]] = sheet(workbook({"A": [["heading"], [words or "x"]]}), "A")
    assert shown(cell) == printable(words or "x")


@pytest.mark.parametrize("name", ["007", "-0", "-0.00", "1.", ".5", "1e5", "٣", "12:30", "0x1F"])
def test_what_would_be_shown_otherwise_stays_text(name: str) -> None:
    [[_], [cell]] = sheet(workbook({"A": [["heading"], [name]]}), "A")
    assert (cell.value, cell.data_type) == (name, "s")


@given(st.decimals(-9999, 9999, places=2) | st.integers(-9999, 9999))
def test_every_reading_comes_back_as_it_was_said(number: object) -> None:
    [[_], [cell]] = sheet(workbook({"A": [["heading"], [str(number)]]}), "A")
    assert shown(cell) == str(number)
    assert cell.data_type == "n" or str(number) in ("-0.00", "-0")


def test_a_number_longer_than_a_spreadsheet_can_hold_stays_text() -> None:
    [[_], [cell]] = sheet(workbook({"A": [["heading"], ["1234567890.123456789"]]}), "A")
    assert (cell.value, cell.data_type) == ("1234567890.123456789", "s")


def test_the_session_says_who_what_and_whether_it_is_signed(report: Report) -> None:
    told = {row[0].value: row[1].value for row in sheet(to_xlsx(report), "Session")}
    assert told["unit"] == 47
    assert told["technician"] == "KV"
    assert told["head"] == report.session.head
    assert told["signed by"] is None
    verdicts = [row[0].value for row in sheet(to_xlsx(report), "Findings")][1:]
    assert sorted(verdicts) == sorted(f.verdict for f in report.diagnosis.findings)


def test_the_same_report_gives_the_same_contents(report: Report) -> None:
    one, two = (zipfile.ZipFile(io.BytesIO(to_xlsx(report))) for _ in range(2))
    told = [n for n in one.namelist() if n != "docProps/core.xml"]  # it holds the time of writing
    assert {n: one.read(n) for n in told} == {n: two.read(n) for n in told}
