"""Writes a report's files, each whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import RecordError, UnknownNameError
from assistant.report.contents import Report
from assistant.report.csv import to_csv
from assistant.report.html import to_html
from assistant.report.json import to_json
from assistant.report.xlsx import to_xlsx

FORMATS: dict[str, Callable[[Report], str | bytes]] = {
    "html": to_html,
    "csv": to_csv,
    "json": to_json,
    "xlsx": to_xlsx,
}
MEDIA_TYPES = {
    "html": "text/html; charset=utf-8",
    "csv": "text/csv; charset=utf-8; header=present",
    "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@dataclass(frozen=True, slots=True)
class Exported:
    """A file to be written or sent: its name, what it is, and its bytes."""

    name: str
    media_type: str
    data: bytes


def export(report: Report, name: str) -> Exported:
    """The report in one format. Raises UnknownNameError for one that there is not."""
    if name not in FORMATS:
        raise UnknownNameError(
            f"There is no report format {name!r}; there are: {', '.join(FORMATS)}, all."
        )
    made = FORMATS[name](report)
    data = made if isinstance(made, bytes) else made.encode("utf-8", "replace")
    return Exported(f"{report.session.id}.{name}", MEDIA_TYPES[name], data)


def write_report(report: Report, folder: Path, formats: Sequence[str]) -> tuple[Path, ...]:
    """Writes ``<session>.<format>`` for each format ("all" for every one) and gives the paths.

    Raises UnknownNameError for a format that there is not, RecordError where nothing can be
    written.
    """
    wanted = tuple(FORMATS) if "all" in formats else tuple(dict.fromkeys(formats))
    files = [export(report, name) for name in wanted]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return tuple(_write(file, folder) for file in files)
    except OSError as error:
        raise RecordError(
            f"The report can't be written to {folder} ({error.strerror}). Choose another folder "
            "with --out."
        ) from error


def _write(file: Exported, folder: Path) -> Path:
    path = folder / file.name
    unfinished = path.with_name(f".{path.name}.part")
    unfinished.write_bytes(file.data)
    unfinished.replace(path)
    return path
