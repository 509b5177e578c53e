"""A session as a workbook: the session, its entries, what they mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.report.contents import Report
from assistant.report.csv import COLUMNS, table
from assistant.report.workbook import Rows, workbook


def to_xlsx(report: Report) -> bytes:
    """The XLSX file. Its sheet "Entries" has the columns of the CSV table."""
    entries: list[Sequence[str]] = [COLUMNS]
    entries += ([row.get(name, "") for name in COLUMNS] for row in table(report))
    sheets: dict[str, Rows] = {
        "Session": list(_session(report)),
        "Entries": entries,
        "Findings": list(_findings(report)),
        "Causes": list(_causes(report)),
    }
    return workbook(sheets, report.session.opened)


def _session(report: Report) -> Iterator[tuple[str, str]]:
    session = report.session
    signed = session.signed
    yield "What", "Value"
    yield "session", session.id
    yield "profile", session.profile
    yield "unit", session.unit
    yield "technician", session.who
    yield "opened", session.opened
    yield "closed", session.closed or ""
    yield "head", session.head
    yield "in short", report.headline
    yield "caution", report.caution
    yield "next", report.action
    yield "signed by", signed.who if signed else ""
    yield "signed at", signed.at if signed else ""
    yield "changed after signing", "" if signed is None else "no" if signed.current else "yes"


def _findings(report: Report) -> Iterator[tuple[str, ...]]:
    yield "verdict", "rule", "about", "reason", "source"
    for finding in (*report.telling, *report.quiet):
        about = " ".join(finding.about)
        yield finding.verdict, finding.rule, about, finding.reason, finding.source


def _causes(report: Report) -> Iterator[tuple[str, ...]]:
    yield "probability", "cause", "title", "for", "against", "remedy", "caution"
    for cause in report.diagnosis.causes:
        yield (
            f"{cause.probability:.4f}",
            cause.cause,
            cause.title,
            "; ".join(cause.reasons_for),
            "; ".join(cause.reasons_against),
            cause.remedy,
            cause.caution,
        )
