"""The list as a file, read back."""

from __future__ import annotations

import csv
import io
import json

import openpyxl
import pytest

from assistant.depot.database import Depot
from assistant.depot.export import COLUMNS, export_sessions
from assistant.depot.listed import Filter
from assistant.depot.listing import sessions
from assistant.depot.refresh import enter
from assistant.depot.summary import Summary
from assistant.errors import UnknownNameError
from tests.benchmarks.synthetic_depot import fill

from .test_listing import row


def test_every_format_holds_every_session_of_the_list(bench_sqlite: Depot) -> None:
    fill(bench_sqlite, 250)
    chosen = Filter(signed=True)
    first = sessions(bench_sqlite, chosen, limit=200)
    rest = sessions(bench_sqlite, chosen, after=first.after, limit=200)
    ids = [r.id for r in (*first.rows, *rest.rows)]
    assert len(ids) > 200

    table = export_sessions(bench_sqlite, "csv", chosen).data.decode()
    lines = list(csv.DictReader(io.StringIO(table, newline="")))
    assert [line["id"] for line in lines] == ids
    listed = json.loads(export_sessions(bench_sqlite, "json", chosen).data)["sessions"]
    assert [one["id"] for one in listed] == ids
    assert listed[0]["parts"] == list(first.rows[0].parts)
    book = openpyxl.load_workbook(
        io.BytesIO(export_sessions(bench_sqlite, "xlsx", chosen).data), read_only=True
    )
    heading, *rows = book["Sessions"].iter_rows(values_only=True)
    assert heading == COLUMNS
    assert [one[0] for one in rows] == ids
    assert [one[COLUMNS.index("minutes")] for one in rows] == [one["minutes"] for one in listed]


def test_what_a_customer_said_is_no_formula(bench_sqlite: Depot) -> None:
    hostile = row(1, complaint='=HYPERLINK("http://x")', unit="-1+1")
    with bench_sqlite.writing() as connection:
        enter(connection, [Summary(hostile)])
    table = export_sessions(bench_sqlite, "csv").data.decode()
    [line] = csv.DictReader(io.StringIO(table, newline=""))
    assert line["complaint"] == "'" + hostile.complaint
    assert line["unit"] == "'-1+1"
    book = openpyxl.load_workbook(io.BytesIO(export_sessions(bench_sqlite, "xlsx").data))
    cell = book["Sessions"].cell(2, COLUMNS.index("complaint") + 1)
    assert (cell.value, cell.data_type) == (hostile.complaint, "s")


def test_a_format_that_there_is_not_is_told(bench_sqlite: Depot) -> None:
    with pytest.raises(UnknownNameError, match="csv, json, xlsx"):
        export_sessions(bench_sqlite, "pdf")
