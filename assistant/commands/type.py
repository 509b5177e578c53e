"""`benchcall type`: typed lines through the same pipeline; what is typed is heard for certain."""

from __future__ import annotations

from assistant.commands.choices import AsJson, Expected, ProfileName, Resumed, Unit, Who


def type_(
    as_json: AsJson = False,
    expect: Expected = "",
    profile: ProfileName = "robot_mower",
    who: Who = "",
    unit: Unit = "",
    session: Resumed = "",
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
