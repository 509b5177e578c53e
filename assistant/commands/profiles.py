"""`benchcall profiles`: lists the profiles, and validates a changed one before it is used."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from assistant.commands.choices import AsJson, profile_names

if TYPE_CHECKING:
    from assistant.profile import Profile

COUNTED = {
    "quantity": "quantities",
    "observation": "seen or told",
    "tolerance": "limits",
    "pair": "pairs",
    "cause": "causes",
    "check": "checks",
    "round": "rounds",
}


def profiles(
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="NAME",
            help="Profile ids, or files of your own; none: all that are here.",
            autocompletion=profile_names,
        ),
    ] = None,
    words: Annotated[
        bool, typer.Option("--words", help="Everything that may be said with it, to be printed.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List the profiles and say what is wrong in them, by file and line.

    Example: benchcall profiles robot_mower --words
    """
    from assistant.errors import BenchcallError
    from assistant.profile import load_profile, own_profile_ids, profile_ids, read_profile

    rows: list[dict[str, Any]] = []
    wrong = False
    here = (*profile_ids(), *own_profile_ids())
    for name in names or here:
        try:
            profile = load_profile(name) if name in here else read_profile(Path(name))
            rows.append(_row(name, profile))
            if words and not as_json:
                _show_words(profile)
        except BenchcallError as error:
            wrong = True
            rows.append({"kind": "profile", "file": name, "valid": False, "error": str(error)})
    if as_json:
        for row in rows:
            typer.echo(json.dumps(row))
    elif wrong or not words:
        _show(rows)
    if wrong:
        raise typer.Exit(1)


def _row(name: str, profile: Profile) -> dict[str, Any]:
    counts = {table: len(getattr(profile, table)) for table in COUNTED}
    return {
        "kind": "profile",
        "file": name,
        "valid": True,
        "id": profile.id,
        "title": profile.profile.title,
        "version": profile.profile.version,
        "notice": profile.profile.notice,
        "counts": counts,
    }


def _show_words(profile: Profile) -> None:
    from assistant.profile import load_spoken
    from assistant.profile.word_list import word_list
    from assistant.report.printable import printable

    typer.echo(printable(profile.profile.title))
    for heading, lines in word_list(profile, load_spoken()):
        typer.echo(f"\n{heading}:")
        for line in lines:
            typer.echo(printable(f"  {line}"))


def _show(rows: list[dict[str, Any]]) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from assistant.report.printable import printable

    console = Console()
    valid = [row for row in rows if row["valid"]]
    if valid:
        table = Table("profile", "what for", "what it holds", box=None, pad_edge=False)
        for row in valid:
            counts = ", ".join(f"{row['counts'][name]} {word}" for name, word in COUNTED.items())
            title = f"{row['title']}, version {row['version']}"
            table.add_row(Text(row["id"]), Text(printable(title)), Text(counts))
        console.print(table)
        for row in valid:
            console.print()
            console.print(Text(printable(f"{row['id']}: {row['notice']}")))
    for row in rows:
        if not row["valid"]:
            typer.echo("\n".join(map(printable, row["error"].split("\n"))), err=True)
