"""`benchcall archive`: an archive of recordings is heard again."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from assistant.commands.choices import OnlyEars, ProfileName


def archive(
    folder: Annotated[Path, typer.Argument(help="Recordings, also in folders below.")],
    out: Annotated[Path, typer.Option(help="Folder for the results.")] = Path("heard"),
    workers: Annotated[
        int | None,
        typer.Option(min=0, help="Processes on this machine; 0 hears one by one, without Dask."),
    ] = None,
    scheduler: Annotated[
        str,
        typer.Option(
            help="Address of a Dask scheduler; its workers need this benchcall, and the folder "
            "under the same path. Use tls:// unless the network is your own."
        ),
    ] = "",
    ear: OnlyEars = None,
    profile: ProfileName = "robot_mower",
) -> None:
    """Hear many recordings again with the software as it is now, beside one another.

    Each result is named by its recording's SHA-256 and by the versions that
    heard it. Stop it when you like: the same command goes on where it was.

    Example: benchcall archive recordings --out heard
    """
    import os
    import sys

    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    from assistant.archive.run import run
    from assistant.report.printable import printable

    columns = (TextColumn("Hearing"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, transient=True, disable=not sys.stdout.isatty()) as bar:
        task = bar.add_task("", total=None)
        told = run(
            folder,
            out,
            profile=profile,
            ears=tuple(ear or ()),
            workers=0 if scheduler else (os.cpu_count() or 1) if workers is None else workers,
            scheduler=scheduler,
            progress=lambda done, of: bar.update(task, completed=done, total=of),
        )
    for path, why in told.refused:
        typer.echo(printable(why if path in why else f"{path}: {why}"), err=True)
    typer.echo(
        f"Files: {told.files}. Different recordings: {told.recordings} ({told.heard} heard, "
        f"{told.known} known already, {told.recordings - told.heard - told.known} refused)."
    )
    typer.echo(f"Results: {told.folder}")
    if told.refused:
        raise typer.Exit(1)
