from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import RecordError, UnknownNameError
from assistant.report import Report, write_report


def test_each_format_is_a_file_named_after_the_session(report: Report, tmp_path: Path) -> None:
    paths = write_report(report, tmp_path / "new", ["all"])
    assert [p.name for p in paths] == [
        f"{report.session.id}.{f}" for f in ("html", "csv", "json", "xlsx")
    ]
    assert sorted(tmp_path.joinpath("new").iterdir()) == sorted(paths)


def test_a_second_report_replaces_the_first(report: Report, tmp_path: Path) -> None:
    [first] = write_report(report, tmp_path, ["csv"])
    first.write_text("old")
    [second] = write_report(report, tmp_path, ["csv", "csv"])
    assert second == first
    assert second.read_text("utf-8").startswith("session,unit,kind")


def test_an_unknown_format_is_refused_before_anything_is_written(
    report: Report, tmp_path: Path
) -> None:
    with pytest.raises(UnknownNameError, match="html, csv, json, xlsx, all"):
        write_report(report, tmp_path, ["csv", "pdf"])
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_told(report: Report, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="--out"):
        write_report(report, tmp_path / "file" / "below", ["json"])
