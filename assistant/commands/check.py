"""`benchcall check`: what a session's readings mean."""

from __future__ import annotations

from typing import Annotated

import typer

from assistant.commands.choices import AsJson, OtherProfile, SessionName


def check(
    session: SessionName,
    as_json: AsJson = False,
    head: Annotated[
        str, typer.Option(help="Only compare the record with the head on your job sheet.")
    ] = "",
    profile: OtherProfile = "",
) -> None:
    """Show findings with their reasons, likely causes and the next check.

    Example: benchcall check last
    """
    import json

    from assistant.diagnosis.diagnose import diagnose
    from assistant.profile import load_profile
    from assistant.record.body import reading_json
    from assistant.record.head import since_noted
    from assistant.record.store import Store
    from assistant.report.lines import diagnosis_lines
    from assistant.report.terminal import show_session

    if head:
        typer.echo(since_noted(Store().entries(session), head))
        return
    told = Store().read(session)
    trade = load_profile(profile or told.profile)
    diagnosis = diagnose(told, trade)
    if not as_json:
        show_session(told, diagnosis, trade)
        return
    for reading in told.readings:
        typer.echo(json.dumps(reading_json(reading, told.id)))
    for line in diagnosis_lines(diagnosis, told):
        typer.echo(json.dumps(line))
