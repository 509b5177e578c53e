"""`benchcall practise`: exercises for the trainee, apart from all real records."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def practise(
    exercise: Annotated[
        str, typer.Argument(help="Its id; without one the next is chosen for you.")
    ] = "",
    list_: Annotated[bool, typer.Option("--list", help="List the exercises.")] = False,
    progress: Annotated[
        bool, typer.Option("--progress", help="Your marks over the weeks, and what is due.")
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
    play = room.start(chosen)
    if not do(play, console, typed_lines(), picture):
        play.close()
        console.print("\nLeft before the end: no marks are kept.")
        return
    if play.done is not None:
        show_marks(play.done, console, room.folder / "again" / chosen.id)
    show_next(room.finish(play), room, console)
