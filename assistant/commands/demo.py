"""`benchcall demo`: the main job on recordings of a depot of our own, through the recognisers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

WORKERS = 2


def demo(
    quiet: Annotated[
        bool, typer.Option("--quiet", help="Only what was found and how well.")
    ] = False,
    out: Annotated[Path, typer.Option(help="Folder for read-backs, reports and journals.")] = Path(
        "benchcall-demo"
    ),
) -> None:
    """Hear recorded rounds, say them back, judge them, and compare with what was really said.

    Example: benchcall demo
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    from assistant.played import play
    from assistant.report.tally import show_tally
    from assistant.shipped import shipped
    from assistant.truth import Compared, known_sessions

    sessions = known_sessions(shipped("demo_audio"))
    compared: list[Compared] = []
    typer.echo(f"Hearing the recordings of {len(sessions)} mowers …")
    with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as pool:
        longest_first = sorted(sessions, key=lambda known: -len(known.utterances))
        playing = {known.name: pool.submit(play, known, out, quiet) for known in longest_first}
        for place, known in enumerate(sessions, 1):
            played = playing[known.name].result()
            compared += played.compared
            typer.echo(played.text)
            typer.echo(f"Mower {place} of {len(sessions)}, heard by {played.ears}.")
    show_tally(compared)
    typer.echo(f"Read-backs (WAV), reports (HTML) and journals lie in {out}")
