"""Loads and validates the TOML files of grammars/."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from pydantic import ValidationError

from assistant.errors import ProfileError, UnknownNameError
from assistant.profile.schema import Profile, SpokenWords
from assistant.shipped import shipped

SPOKEN = "spoken"


def profile_ids() -> tuple[str, ...]:
    """Ids of the shipped profiles, sorted."""
    return tuple(sorted(p.stem for p in shipped("grammars").glob("*.toml") if p.stem != SPOKEN))


@cache
def load_profile(name: str = "robot_mower") -> Profile:
    """A profile by id, or by the path of a TOML file.

    Raises UnknownNameError for an id that nothing has, ProfileError for a file that is wrong.
    """
    path = Path(name) if name.endswith(".toml") else shipped("grammars") / f"{name}.toml"
    if not path.is_file():
        raise UnknownNameError(
            f"There is no profile {name!r}; there are: {', '.join(profile_ids())}."
        )
    return read_profile(path)


def read_profile(path: Path) -> Profile:
    """Raises ProfileError naming file, place, what was found and what is allowed."""
    try:
        return Profile.model_validate(tomllib.loads(path.read_text("utf-8")))
    except (ValidationError, tomllib.TOMLDecodeError) as error:
        raise ProfileError(f"{path}: {error}") from error


@cache
def load_spoken() -> SpokenWords:
    """The number words and voice commands of grammars/spoken.toml."""
    path = shipped("grammars") / f"{SPOKEN}.toml"
    return SpokenWords.model_validate(tomllib.loads(path.read_text("utf-8")))
