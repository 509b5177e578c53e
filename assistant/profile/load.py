"""Loads and validates the TOML files of grammars/; nothing in them is ever run or followed."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from assistant.errors import ProfileError, UnknownNameError
from assistant.home import default_home
from assistant.profile.limits import limit_problems
from assistant.profile.links import link_problems
from assistant.profile.nearest import nearest
from assistant.profile.phrases import phrase_problems, spoken_problems
from assistant.profile.problem import Problem, pydantic_problems, shown, told
from assistant.profile.schema import Profile, SpokenWords
from assistant.shipped import shipped

SPOKEN = "spoken"
DEFAULT_PROFILE = "robot_mower"
MOST_BYTES = 500_000
"""Six times the longest profile there is."""
MOST_DOTS = 200
"""In one line: the time that a dotted key takes grows with the square of its parts."""
_ID = re.compile(r"[a-z][a-z0-9_]*")

Model = TypeVar("Model", bound=BaseModel)


def profile_ids() -> tuple[str, ...]:
    """Ids of the shipped profiles, sorted."""
    return tuple(sorted(p.stem for p in shipped("grammars").glob("*.toml") if p.stem != SPOKEN))


def own_profile_ids() -> tuple[str, ...]:
    """Ids of the profiles in <home>/profiles, sorted."""
    return tuple(sorted(p.stem for p in _own_folder().glob("*.toml") if _ID.fullmatch(p.stem)))


def load_profile(name: str = DEFAULT_PROFILE) -> Profile:
    """A profile by id (a shipped one, else <home>/profiles/<id>.toml), or by the path of a TOML
    file.

    Raises UnknownNameError for an id or path that nothing has, ProfileError for a file that is
    wrong.
    """
    if name.endswith(".toml"):
        return _read_once(Path(name))
    if name in profile_ids():
        return _read_once(shipped("grammars") / f"{name}.toml")
    there = (*profile_ids(), *own_profile_ids())
    if name in there:
        return _read_once(_own_folder() / f"{name}.toml")
    close = nearest(name, there)
    hint = f"Did you mean {close[0]}? " if close else ""
    raise UnknownNameError(
        f"There is no profile {shown(name)}. {hint}There are: {', '.join(there)}. Name a file of "
        f"your own by its path, ending in .toml, or put it into {_own_folder()}."
    )


def _own_folder() -> Path:
    return default_home() / "profiles"


@cache
def _read_once(path: Path) -> Profile:
    return read_profile(path)


def read_profile(path: Path) -> Profile:
    """Raises UnknownNameError where there is no such file, and ProfileError naming file, line and
    place, what was found and what is allowed, for all that is wrong at once."""
    spoken = load_spoken()

    def problems(profile: Profile) -> Iterable[Problem]:
        yield from link_problems(profile)
        yield from limit_problems(profile)
        yield from phrase_problems(profile, spoken)

    return read_checked(path, Profile, problems)


@cache
def load_spoken() -> SpokenWords:
    """The number words and voice commands of grammars/spoken.toml."""
    return read_spoken(shipped("grammars") / f"{SPOKEN}.toml")


def read_spoken(path: Path) -> SpokenWords:
    """Raises as ``read_profile`` does."""
    return read_checked(path, SpokenWords, spoken_problems)


def read_checked(
    path: Path, model: type[Model], check: Callable[[Model], Iterable[Problem]]
) -> Model:
    """Any TOML file that people write, as ``model``; raises as ``read_profile`` does."""
    text = _text(path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(_syntax(path, text, str(error))) from error
    except RecursionError as error:
        raise ProfileError(
            f"{path}: found lists within lists without end; allowed: few."
        ) from error
    except ValueError as error:  # a whole number that Python refuses to read
        longest = max(re.finditer(r"[0-9_]+", text), key=lambda digits: len(digits[0]))
        line = text.count("\n", 0, longest.start()) + 1
        raise ProfileError(
            f"{path}, line {line}: found a number of {len(longest[0])} figures; allowed: a number "
            "that somebody measures."
        ) from error
    try:
        value = model.model_validate(data)
    except ValidationError as error:
        raise ProfileError(told(str(path), text, data, pydantic_problems(error, model))) from error
    if problems := list(check(value)):
        raise ProfileError(told(str(path), text, data, problems))
    return value


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise UnknownNameError(f"There is no file {path}. Give the path of a profile.") from error
    except IsADirectoryError as error:
        raise ProfileError(f"{path} is a folder. Name the profile in it, by its file.") from error
    except OSError as error:
        raise ProfileError(
            f"{path}: it can't be read ({error.strerror}). Give yourself the right to read it."
        ) from error
    if len(content) > MOST_BYTES:
        raise ProfileError(
            f"{path}: found more than {MOST_BYTES} bytes; allowed: a profile, which is far "
            "shorter. Is this the file you mean?"
        )
    for number, line in enumerate(content.split(b"\n"), start=1):
        if (dots := line.count(b".")) > MOST_DOTS:
            raise ProfileError(
                f"{path}, line {number}: found {dots} dots in one line; allowed: {MOST_DOTS}. "
                "Break the line."
            )
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        place = content.count(b"\n", 0, error.start) + 1
        raise ProfileError(
            f"{path}, line {place}: found bytes that are no text; allowed: a text file in UTF-8."
        ) from error


def _syntax(path: Path, text: str, message: str) -> str:
    """A syntax error of TOML with the line's own words; tomllib names the place in its message."""
    what, _, where = message.partition(" (at ")
    lines = text.splitlines() or [""]
    number = re.search(r"line (\d+)", where)
    line = int(number[1]) if number else len(lines)
    words = lines[min(line, len(lines)) - 1].strip()
    return (
        f"{path}, line {line}: found {shown(words)} ({what[:1].lower()}{what[1:]}); "
        'allowed: [[table]], key = "text", key = 1.5, key = ["a", "b"] or # comment.'
    )
