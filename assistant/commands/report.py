"""`benchcall report`: a session as a page, a table or data."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from assistant.commands.choices import OtherProfile, SessionName


def report(
    session: SessionName,
    wanted: Annotated[
        list[str] | None,
        typer.Option("--format", help="html, csv, json, xlsx or all; may be repeated."),
    ] = None,
    out: Annotated[Path, typer.Option(help="Folder to write to.")] = Path(),
    profile: OtherProfile = "",
) -> None:
    """Write a session's report: one HTML page, unless told otherwise.

    Example: benchcall report last --format all --out reports
    """
    from assistant.diagnosis.diagnose import diagnose
    from assistant.profile import load_profile
    from assistant.record.store import Store
    from assistant.report import report_of, write_report

    store = Store()
    told = store.read(session)
    trade = load_profile(profile or told.profile)
    others = [listed for listed in store.find(told.unit) if told.unit and not listed.trouble]
    visits = [store.read(listed.id) for listed in others if listed.profile == told.profile]
    whole = report_of(told, trade, diagnose(told, trade), visits)
    for path in write_report(whole, out, wanted or ["html"]):
        typer.echo(path)
