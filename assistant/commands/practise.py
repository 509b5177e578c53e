"""`benchcall practise`: exercises for the trainee, apart from all real records."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from assistant.commands.choices import exercise_names

if TYPE_CHECKING:
    from rich.console import Console

    from assistant.audio.utterance import Utterance
    from assistant.practice.room import PracticeRoom


def practise(
    exercise: Annotated[
        str,
        typer.Argument(
            help="Its id; without one the next is chosen for you.", autocompletion=exercise_names
        ),
    ] = "",
    list_: Annotated[bool, typer.Option("--list", help="List the exercises.")] = False,
    progress: Annotated[
        bool, typer.Option("--progress", help="Your marks over the weeks, and what is due.")
    ] = False,
    voice: Annotated[
        bool, typer.Option("--voice", help="Say twenty phrases: how well each ear hears you.")
    ] = False,
    recordings: Annotated[
        Path | None, typer.Option(help="With --voice: a folder with 01.wav to 20.wav instead.")
    ] = None,
    say: Annotated[
        list[Path] | None, typer.Option(help="A recording of what you say; the rest is typed.")
    ] = None,
    microphone: Annotated[
        bool, typer.Option("--microphone", help='Say it; "close job" or Ctrl-C ends that.')
    ] = False,
    who: Annotated[str, typer.Option(help="Your initials: marks are kept for each.")] = "",
    picture: Annotated[
        Path | None,
        typer.Option(help="Write the scene, or the progress, as a picture (SVG) here, too."),
    ] = None,
) -> None:
    """Practise until the readings come out right: listen, dictate, find the fault.

    Typed, no microphone needed. Example: benchcall practise first_minute --who "A. B."
    """
    from rich.console import Console

    from assistant.practice.room import PracticeRoom
    from assistant.practice.terminal import (
        do,
        play_aloud,
        show_list,
        show_marks,
        show_next,
        show_progress,
        typed_lines,
    )

    console = Console(highlight=False)
    room = PracticeRoom(who=who)
    if list_:
        show_list(room, console)
        return
    if voice:
        _check_voice(room, console, recordings)
        return
    if progress:
        show_progress(room, console, picture)
        return
    for problem in room.library.wrong:
        typer.echo(problem, err=True)
    if exercise:
        chosen = room.library.find(exercise)
    else:
        choice = room.choose()
        chosen = choice.exercise
        console.print(f"Chosen for you: {choice.why}.")
    with ExitStack() as open_things:
        spoken: Iterable[Utterance] = ()
        hearing: dict[str, Any] = {}
        if say or microphone:
            spoken, hearing = _spoken(chosen.profile, say or [], open_things)
        play = room.start(chosen, **hearing)
        listen = play_aloud if sys.stdin.isatty() else lambda _: ""
        done = do(play, console, typed_lines(), picture, listen, spoken)
    if not done:
        play.close()
        console.print("\nLeft before the end: no marks are kept.")
        return
    if play.done is not None:
        show_marks(play.done, console, room.folder / "again" / chosen.id)
    show_next(room.finish(play), room, console)


def _spoken(
    profile: str, recordings: list[Path], open_things: ExitStack
) -> tuple[Iterable[Utterance], dict[str, Any]]:
    """What is said in recordings, else at the microphone, and what hears it."""
    from assistant.audio.microphone import Microphone
    from assistant.audio.recording import read_blocks
    from assistant.audio.segments import utterances
    from assistant.hearing.ears import open_ears
    from assistant.profile import load_profile, load_spoken

    ears = open_things.enter_context(open_ears(load_profile(profile), load_spoken()))
    hearing = {"ears": ears, "trusted": ears.trusted, "models": ears.models}
    if recordings:
        said = (one for path in recordings for one in utterances(read_blocks(path), path.name))
        return said, hearing
    blocks = open_things.enter_context(Microphone())
    return utterances(blocks, "microphone"), hearing


def _check_voice(room: PracticeRoom, console: Console, recordings: Path | None) -> None:
    from assistant.audio.microphone import Microphone
    from assistant.audio.segments import utterances
    from assistant.hearing.ears import open_ears
    from assistant.practice.own_profile import own_profile_path
    from assistant.practice.terminal import typed_lines
    from assistant.practice.voice_terminal import check_voice, from_files, from_microphone
    from assistant.profile import load_profile, load_spoken

    trade, spoken = load_profile(), load_spoken()
    path = own_profile_path(room.folder, trade, room.who)
    lines = iter(typed_lines())
    with open_ears(trade, spoken) as ears:
        if recordings is not None:
            check_voice(from_files(recordings), ears, trade, spoken, path, lines, console)
            return
        with Microphone() as microphone:
            said = from_microphone(lambda: utterances(microphone, "microphone"), console)
            check_voice(said, ears, trade, spoken, path, lines, console)
