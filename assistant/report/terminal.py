"""A session on the terminal: readings, findings, ranked causes, the next check after its caution.

Everything that was heard or typed passes ``printable`` and is never read as markup, so no note
can steer the terminal.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.diagnosis.enough import percent
from assistant.diagnosis.finding import Cause, Diagnosis, Finding, Verdict
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.report.contents import Report, Row, report_of
from assistant.report.printable import printable
from assistant.report.verdicts import marked

_STYLES: dict[Verdict, str] = {
    "out": "bold red",
    "suspect": "bold yellow",
    "unknown": "bold",
    "ok": "green",
    "not_applicable": "dim",
}
_BAR = 20
_MOST_CAUSES = 5
_EXPLAINED = 2


def show_session(
    session: Session, diagnosis: Diagnosis, profile: Profile, console: Console | None = None
) -> None:
    """The readings by context, what is open, and all that follows from them."""
    console = console or Console(highlight=False)
    report = report_of(session, profile, diagnosis)
    who = f", {session.who}" if session.who else ""
    console.print(_text(f"Unit {session.unit or 'not named'}{who}, session {session.id}", "bold"))
    for context, rows in report.groups.items():
        console.print()
        console.print(_text(context or "in any context", "underline"))
        console.print(_readings(rows))
    _print_rest(report, console)


def show_diagnosis(
    session: Session, diagnosis: Diagnosis, profile: Profile, console: Console | None = None
) -> None:
    """What follows from a session, the readings themselves left out."""
    console = console or Console(highlight=False)
    console.print()
    console.print(_text(f"Unit {session.unit or 'not named'}", "bold"))
    if not (session.readings or session.observations):
        console.print(_text("Nothing was measured or seen."))
        return
    _print_rest(report_of(session, profile, diagnosis), console)


def _print_rest(report: Report, console: Console) -> None:
    diagnosis = report.diagnosis
    _heading(console, "What is wrong")
    for finding in report.telling:
        console.print(_finding(finding, report.on_seen(finding)))
    if report.quiet:
        more = f"{len(report.quiet)} {'more ' if report.telling else ''}"
        console.print(_text(f"{more}in order or not judged here (all in the report)", "dim"))
    elif not report.telling:
        console.print(_text("Nothing was judged yet.", "dim"))
    if report.questions:
        _heading(console, "Still to answer")
        for row in report.questions:
            console.print(_text(f"? {row.label} {row.value}: {row.question}", "bold"))
    _heading(console, "Likely causes")
    for rank, cause in enumerate(report.causes[:_MOST_CAUSES]):
        console.print(_cause(cause, with_reasons=rank < _EXPLAINED))
    if not report.causes:
        console.print(_text("Not enough yet to name a cause."))
    for proof in diagnosis.repairs:
        console.print(_text(f"Repair: {proof.reason}"))
    _heading(console, "What next")
    console.print(_text(report.headline))
    if report.caution:
        console.print(_text(f"Caution: {report.caution}", "bold reverse"))
    if report.action:
        console.print(_text(f"Next: {report.action}", "bold"))
    if diagnosis.verdict:
        console.print(_text(diagnosis.verdict, "dim"))
    if diagnosis.release_missing:
        steps = ", ".join(diagnosis.release_missing)
        console.print(_text(f"Not ready for use, still to do: {steps}"))


def _readings(rows: Iterable[Row]) -> Table:
    table = Table.grid(padding=(0, 2))
    for row in rows:
        if row.question:
            verdict = _text("? still open", "bold")
        elif row.verdict is None:
            verdict = _text(row.unjudged, "dim")
        else:
            verdict = _text(marked(row.verdict), _STYLES[row.verdict])
        table.add_row(
            _text(row.label), _text(row.value, "bold"), verdict, _text(f"“{row.heard}”", "dim")
        )
    return table


def _finding(finding: Finding, seen: bool) -> Text:
    mark = _text(marked(finding.verdict, seen), _STYLES[finding.verdict])
    return Text.assemble(mark, "  ", _text(finding.reason))


def _cause(cause: Cause, with_reasons: bool) -> Text:
    full = round(_BAR * cause.probability)
    bar = "█" * full + "░" * (_BAR - full)
    chance = f"{percent(cause.probability):3d} of 100 {bar} "
    lines = [Text.assemble(chance, _text(cause.title, "bold"))]
    if with_reasons:
        lines += [_text(f"  for: {reason}", "dim") for reason in cause.reasons_for]
        lines += [_text(f"  against: {reason}", "dim") for reason in cause.reasons_against]
    return Text("\n").join(lines)


def _heading(console: Console, title: str) -> None:
    console.print()
    console.print(_text(title, "underline"))


def _text(words: str, style: str = "") -> Text:
    return Text(printable(words), style)
