"""`benchcall profiles`: lists the profiles, and validates a changed one before it is used."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

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
    files: Annotated[
        list[str] | None,
        typer.Argument(metavar="[FILE]…", help="Your own profile files; none: all that are here."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """List the profiles and say what is wrong in them, by file and line.

    Example: benchcall profiles my_depot.toml
    """
    from assistant.errors import BenchcallError
    from assistant.profile import load_profile, own_profile_ids, profile_ids, read_profile

    rows: list[dict[str, Any]] = []
    wrong = False
    for name in files or (*profile_ids(), *own_profile_ids()):
        try:
            profile = read_profile(Path(name)) if files else load_profile(name)
            rows.append(_row(name, profile))
        except BenchcallError as error:
            wrong = True
            rows.append({"kind": "profile", "file": name, "valid": False, "error": str(error)})
    if as_json:
        for row in rows:
            typer.echo(json.dumps(row))
    else:
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
