from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable

import pytest
from hollin_bank import HOSTILE
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.session import Note
from assistant.report import Report
from assistant.report.csv import COLUMNS, safe, to_csv
from assistant.report.printable import printable


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_reader_used_here_reads_the_example_of_rfc_4180() -> None:
    # RFC 4180, section 2: quotes are doubled, a quoted line break stays inside its field.
    text = '"aaa","b""bb","ccc"\r\n"aaa","b\r\nbb","ccc"\r\n'
    assert list(csv.reader(io.StringIO(text, newline=""))) == [
        ["aaa", 'b"bb', "ccc"],
        ["aaa", "b\r\nbb", "ccc"],
    ]


def test_lines_end_in_cr_lf_and_all_have_every_column(report: Report) -> None:
    text = to_csv(report)
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n")
    lines = list(csv.reader(io.StringIO(text, newline="")))
    assert lines[0] == list(COLUMNS)
    assert {len(line) for line in lines} == {len(COLUMNS)}


def test_every_entry_is_a_row_the_replaced_ones_too(report: Report) -> None:
    session = report.session
    entries = (*session.readings, *session.observations, *session.superseded, *session.notes)
    found = rows(to_csv(report))
    assert [row["id"] for row in found] == [entry.id for entry in entries]
    assert {row["id"]: row["replaced_by"] for row in found if row["replaced_by"]} == {
        "1": "2",
        "0": "40",
    }


def test_a_reading_keeps_sign_resolution_context_and_verdict(report: Report) -> None:
    found = {row["id"]: row for row in rows(to_csv(report))}
    assert found["5"]["value"] == "-65"
    assert found["6"]["value"] == "18.40"
    assert found["9"]["value"] == ""
    assert found["9"]["state"] == "off_scale"
    assert found["10"]["context"] == "repair=after;station=undocked"
    assert found["2"]["verdict"] == "suspect"


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("-65", "-65"),
        ("-0.50", "-0.50"),
        ("12.50", "12.50"),
        ("=1+1", "'=1+1"),
        ("-65+cmd", "'-65+cmd"),
        ("+44", "'+44"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("  =1", "'  =1"),
        ("\t=1", "' =1"),
        ("\r=1", "' =1"),
        ("seal\x1b[2J\x00", "seal\ufffd[2J\ufffd"),
        ("\u202eevil", "\ufffdevil"),
        ("＝1", "'＝1"),
        ("-", "'-"),
        ("-١", "'-١"),
        ("guide front -65", "guide front -65"),
        ("", ""),
    ],
)
def test_numbers_stay_numbers_and_nothing_becomes_a_formula(cell: str, written: str) -> None:
    assert safe(cell) == written


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_notes_come_back_as_they_can_be_shown(
    make: Callable[..., Report], hostile: str
) -> None:
    [*_, last] = rows(to_csv(make(notes=(Note("30", hostile),))))
    assert last["heard"].removeprefix("'") == printable(hostile)


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_no_cell_starts_like_a_formula_unless_it_is_a_number(cell: str) -> None:
    out = safe(cell)
    assert out in (printable(cell), f"'{printable(cell)}")
    assert not {unicodedata.category(letter) for letter in out} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    if out.lstrip(" ")[:1] in tuple("=+-@"):
        assert out == "" or float(out) is not None
