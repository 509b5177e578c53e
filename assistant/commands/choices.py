"""Options and arguments that several commands share, with what the shell completes for them.

Completing reads names of files only: the shell waits for it at every press of the key.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer

from assistant.home import default_home
from assistant.shipped import shipped


def profile_names(incomplete: str) -> Iterator[str]:
    """Ids of the shipped profiles and of one's own; other words are files, as ever."""
    for folder in (shipped("grammars"), default_home() / "profiles"):
        found = (path.stem for path in sorted(folder.glob("*.toml")) if path.stem != "spoken")
        yield from (name for name in found if name.startswith(incomplete))


def session_names(incomplete: str) -> Iterator[str]:
    """ "last", then all sessions, the newest first."""
    folders = sorted((default_home() / "sessions").glob("*/"), reverse=True)
    names = ("last", *(folder.name for folder in folders))
    yield from (name for name in names if name.startswith(incomplete))


def exercise_names(incomplete: str) -> Iterator[str]:
    shipped_ones = Path(__file__).parents[1] / "practice" / "exercises"
    for folder in (shipped_ones, default_home() / "practice" / "exercises"):
        found = (path.stem for path in sorted(folder.glob("*.toml")))
        yield from (name for name in found if name.startswith(incomplete))


ProfileName = Annotated[
    str, typer.Option(help="Profile id, or a TOML file.", autocompletion=profile_names)
]
OtherProfile = Annotated[
    str,
    typer.Option(
        help="Your own TOML file, if the session was taken with one.",
        autocompletion=profile_names,
    ),
]
SessionName = Annotated[
    str,
    typer.Argument(
        help='Session id, a part of it, or "last".',
        autocompletion=session_names,
    ),
]
Resumed = Annotated[
    str,
    typer.Option(
        "--session",
        help="Go on in a session that broke off: its id, a part of it, or last.",
        autocompletion=session_names,
    ),
]
Who = Annotated[str, typer.Option(help="Initials of the technician, for the record.")]
Unit = Annotated[str, typer.Option(help="The number of the unit worked on.")]
Expected = Annotated[
    str, typer.Option("--expect", help="What a bare number is: QUANTITY or QUANTITY@POSITION.")
]
OnlyEars = Annotated[
    list[str] | None,
    typer.Option("--ear", help="Only this recogniser; twice for a pair of them."),
]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object a line.")]
NoAudio = Annotated[bool, typer.Option("--no-audio", help="Keep readings only, no sound.")]
