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
