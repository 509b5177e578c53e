"""`benchcall type`: typed lines through the same pipeline; what is typed is heard for certain."""

from __future__ import annotations

from typing import Annotated

import typer

from assistant.commands.choices import ProfileName


def type_(
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
    expect: Annotated[
        str, typer.Option(help="What a bare number is: QUANTITY or QUANTITY@POSITION.")
    ] = "",
    profile: ProfileName = "robot_mower",
    who: Annotated[str, typer.Option(help="Your initials, for the record.")] = "",
    unit: Annotated[str, typer.Option(help="The number of the unit worked on.")] = "",
    session: Annotated[
        str, typer.Option(help="Go on in a session that broke off: its id, a part of it, or last.")
    ] = "",
) -> None:
    """Take down lines of words from standard input.

    Example: echo "guide front one oh two, rear ninety eight, undocked" | benchcall type
    """
    import sys

    from assistant.open_assistant import open_assistant
    from assistant.profile import load_profile
    from assistant.profile.label import read_label
    from assistant.record.store import Store
    from assistant.report.transcript import Transcript

    trade = load_profile(profile)
    expected = read_label(expect, trade) if expect else None
    assistant = open_assistant(Store(), trade, expected=expected, who=who, unit=unit)
    transcript = Transcript(assistant, as_json)
    transcript.welcome()
    try:
        if session:
            transcript.show(assistant.take_up(Store().open(session, trade)))
        for line in sys.stdin:
            transcript.show(assistant.type(line))
        transcript.end()
    finally:
        assistant.close()
