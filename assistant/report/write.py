"""Writes a report's files, each whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from assistant.errors import RecordError, UnknownNameError
from assistant.report.contents import Report
from assistant.report.csv import to_csv
from assistant.report.html import to_html
from assistant.report.json import to_json

FORMATS: dict[str, Callable[[Report], str]] = {"html": to_html, "csv": to_csv, "json": to_json}


def write_report(report: Report, folder: Path, formats: Sequence[str]) -> tuple[Path, ...]:
    """Writes ``<session>.<format>`` for each format ("all" for every one) and gives the paths.

    Raises UnknownNameError for a format that there is not, RecordError where nothing can be
    written.
    """
    wanted = tuple(FORMATS) if "all" in formats else tuple(dict.fromkeys(formats))
    for name in wanted:
        if name not in FORMATS:
            raise UnknownNameError(
                f"There is no report format {name!r}; there are: {', '.join(FORMATS)}, all."
            )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return tuple(_write(report, folder, name) for name in wanted)
    except OSError as error:
        raise RecordError(
            f"The report can't be written to {folder} ({error.strerror}). Choose another folder "
            "with --out."
        ) from error


def _write(report: Report, folder: Path, name: str) -> Path:
    path = folder / f"{report.session.id}.{name}"
    unfinished = path.with_name(f".{path.name}.part")
    unfinished.write_bytes(FORMATS[name](report).encode("utf-8", "replace"))
    unfinished.replace(path)
    return path
