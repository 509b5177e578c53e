"""`benchcall collect`: sessions from a stick come home."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

_WORDS = {
    "new": "new",
    "longer": "gone on with",
    "known": "known already",
    "damaged": "damaged, brought in as it is",
    "refused": "refused",
}


def collect(
    folder: Annotated[Path, typer.Argument(help="The stick, or a folder of sessions on it.")],
    index: Annotated[
        str, typer.Option(help="Address of the depot's PostgreSQL index, where there is one.")
    ] = "",
) -> None:
    """Copy sessions with their sound from a stick, check each, and add them to the list.

    What is here already is not copied twice. Nothing on the stick is changed.

    Example: benchcall collect /media/stick
    """
    import sys

    from rich.progress import Progress

    from assistant.depot.collect import collect as bring
    from assistant.depot.database import open_depot
    from assistant.depot.refresh import refresh_one
    from assistant.record.store import Store
    from assistant.report.printable import printable

    store = Store()
    with Progress(transient=True, disable=not sys.stdout.isatty()) as bar:
        task = bar.add_task("Copying", total=None)
        told = bring(store, folder, lambda done, of: bar.update(task, completed=done, total=of))
        depot = open_depot(store, index)
        entered = [one.session for one in told if one.fate not in ("known", "refused")]
        task = bar.add_task("Indexing", total=len(entered))
        for name in entered:
            refresh_one(depot, name)
            bar.advance(task)
        depot.close()
    for one in told:
        if one.told:
            typer.echo(f"{one.session}: {_WORDS[one.fate]}. {printable(one.told)}")
    counts = [
        f"{number} {words}"
        for fate, words in _WORDS.items()
        if (number := sum(one.fate == fate for one in told))
    ]
    typer.echo(f"Sessions: {', '.join(counts)}. Recordings copied: {sum(o.sounds for o in told)}.")
    if entered:
        typer.echo("See them: benchcall review")
    if any(one.fate in ("refused", "damaged") for one in told):
        raise typer.Exit(1)
