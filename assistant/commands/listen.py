"""`benchcall listen`: live from the microphone."""

from __future__ import annotations

from typing import Annotated

import typer


def listen(
    device: Annotated[str, typer.Option(help="Microphone by number or part of its name.")] = "",
    profile: Annotated[str, typer.Option(help="Profile id, or a TOML file.")] = "robot_mower",
    who: Annotated[str, typer.Option(help="Your initials, for the record.")] = "",
    unit: Annotated[str, typer.Option(help="The mower's number.")] = "",
    no_audio: Annotated[
        bool, typer.Option("--no-audio", help="Keep readings only, no sound.")
    ] = False,
    silent: Annotated[bool, typer.Option("--silent", help="Show, don't speak.")] = False,
) -> None:
    """Take down what you say, say it back, and tell at once what is out of tolerance.

    Example: benchcall listen --unit 14 --who "K. M."
    """
    from assistant.audio.microphone import Microphone
    from assistant.audio.segments import utterances
    from assistant.hearing.ears import open_ears
    from assistant.open_assistant import open_assistant
    from assistant.profile import load_profile, load_spoken
    from assistant.record.store import PRIVACY_NOTE, Store
    from assistant.report.transcript import Transcript
    from assistant.speaking.loudspeaker import Loudspeaker
    from assistant.speaking.voice import open_voice

    trade = load_profile(profile)
    store = Store()
    if store.first_run and not no_audio:
        typer.echo(PRIVACY_NOTE)
    with open_ears(trade, load_spoken()) as ears:
        assistant = open_assistant(
            store,
            trade,
            ears=ears,
            trusted=ears.trusted,
            models=ears.models,
            who=who,
            unit=unit,
            keep_audio=not no_audio,
        )
        loudspeaker = Loudspeaker(open_voice())
        if loudspeaker.silent and not silent:
            typer.echo(f"Not spoken, only shown: {loudspeaker.silent}")
        transcript = Transcript(assistant)
        try:
            with Microphone(int(device) if device.isdigit() else device or None) as microphone:
                typer.echo(f"Ears: {ears.description}. Listening; end with Ctrl-C.")
                for utterance in utterances(microphone, "microphone"):
                    turn = assistant.hear(utterance)
                    transcript.show(turn)
                    transcript.tell(ears.told())
                    if not silent:
                        for reply in turn.replies:
                            loudspeaker.say(reply)
                        microphone.forget()
        except KeyboardInterrupt:
            transcript.end()
        finally:
            assistant.close()
