"""`benchcall listen`: live from the microphone."""

from __future__ import annotations

from typing import Annotated

import typer

from assistant.commands.choices import NoAudio, ProfileName, Resumed, Unit, Who


def listen(
    device: Annotated[
        str, typer.Option(help="Microphone by number or part of its name; it is remembered.")
    ] = "",
    speaker: Annotated[
        str, typer.Option(help="Loudspeaker by number or part of its name; it is remembered.")
    ] = "",
    list_devices: Annotated[
        bool, typer.Option("--list-devices", help="Show microphones and loudspeakers, and end.")
    ] = False,
    profile: ProfileName = "robot_mower",
    who: Who = "",
    unit: Unit = "",
    session: Resumed = "",
    round_: Annotated[
        str, typer.Option("--round", help="Be led round this checklist from the start.")
    ] = "",
    headset: Annotated[
        bool,
        typer.Option(
            "--headset",
            help="The microphone does not hear the loudspeaker: 'disregard', 'say again' and "
            "'stand by' may be said into the read-back.",
        ),
    ] = False,
    push_to_talk: Annotated[
        bool,
        typer.Option(
            "--push-to-talk", help="Listen only after a key, or a pedal that types one, is pressed."
        ),
    ] = False,
    no_audio: NoAudio = False,
    silent: Annotated[bool, typer.Option("--silent", help="Show, don't speak.")] = False,
    platform_voice: Annotated[
        bool, typer.Option("--platform-voice", help="Speak with the voice of macOS or Windows.")
    ] = False,
) -> None:
    """Take down what you say, say it back, and tell at once what is out of tolerance.

    Any key cuts the read-back short; Ctrl-C ends. All that may be said:
    benchcall profiles NAME --words.

    Example: benchcall listen --unit 14 --who "K. M."
    """
    if list_devices:
        from assistant.live.devices import listed

        typer.echo(listed())
        return
    from assistant.live.ears_process import EarsProcess

    with EarsProcess(profile) as ears:  # it gets ready while the rest is imported
        from assistant.live.open_bench import Asked, listen_at_bench

        asked = Asked(
            device=device,
            speaker=speaker,
            profile=profile,
            who=who,
            unit=unit,
            session=session,
            round=round_,
            headset=headset,
            push_to_talk=push_to_talk,
            keep_audio=not no_audio,
            silent=silent,
            platform_voice=platform_voice,
        )
        listen_at_bench(asked, ears, typer.echo)
