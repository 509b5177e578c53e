"""`benchcall hear`: recordings become readings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from assistant.commands.choices import AsJson, Expected, NoAudio, OnlyEars, ProfileName, Unit, Who


def hear(
    recordings: Annotated[list[Path], typer.Argument(metavar="WAV", help="Recordings.")],
    as_json: AsJson = False,
    expect: Expected = "",
    ear: OnlyEars = None,
    together: Annotated[
        bool, typer.Option("--together", help="All recordings are one session.")
    ] = False,
    profile: ProfileName = "robot_mower",
    who: Who = "",
    unit: Unit = "",
    no_audio: NoAudio = False,
) -> None:
    """Take down what recordings say; each is a session of its own unless --together is given.

    Example: benchcall hear round.wav --expect guide_signal@front
    """
    from assistant.audio.recording import read_blocks
    from assistant.audio.segments import utterances
    from assistant.errors import AudioError
    from assistant.hearing.ears import open_ears
    from assistant.open_assistant import open_assistant
    from assistant.profile import load_profile, load_spoken
    from assistant.profile.label import read_label
    from assistant.record.store import Store
    from assistant.report.printable import printable
    from assistant.report.transcript import Transcript

    trade = load_profile(profile)
    expected = read_label(expect, trade) if expect else None
    refused = []
    with open_ears(trade, load_spoken(), ear or ()) as ears:
        groups = [recordings] if together else [[path] for path in recordings]
        for group in groups:
            assistant = open_assistant(
                Store(),
                trade,
                ears=ears,
                trusted=ears.trusted,
                models=ears.models,
                expected=expected,
                who=who,
                unit=unit,
                keep_audio=not no_audio,
            )
            transcript = Transcript(assistant, as_json)
            for path in group:
                transcript.source(path.name)
                try:
                    for utterance in utterances(read_blocks(path), path.name):
                        transcript.show(assistant.hear(utterance))
                        transcript.tell(ears.told())
                except AudioError as error:
                    refused.append(error)
                    typer.echo(printable(str(error)), err=True)
            transcript.end()
            assistant.close()
    if refused:
        raise typer.Exit(1)
