"""Which two recognisers have earned the right to accept a value on which they agree.

Counted values say so: those the project ships (verified.toml), and those that ``benchcall models
--verify`` counted on this machine. They hold for the very models they were counted with.
"""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from assistant import __version__
from assistant.errors import ModelError
from assistant.home import default_home

NEEDED = 50
"""Values that must have been right, with none wrong. By the rule of three, none wrong in N bounds
the rate of wrong values below 3/N at 95 %: 50 say no more than "below 6 %"."""
SHIPPED = Path(__file__).with_name("verified.toml")


class PairCount(BaseModel):
    """What became of the values of known recordings that two ears heard.

    ``right`` and ``wrong`` were accepted, ``asked`` were not. ``models`` gives the SHA-256 of each
    ear's model. ``software`` is the version that counted, "" for what ships with it.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    ears: tuple[str, str]
    right: int = Field(ge=0)
    asked: int = Field(ge=0)
    wrong: int = Field(ge=0)
    on: str = Field(min_length=1)
    date: date
    models: dict[str, str]
    software: str = ""

    @model_validator(mode="after")
    def _whole(self) -> PairCount:
        if len(set(self.ears)) != 2:
            raise ValueError("ears must be two different recognisers")
        if set(self.models) != set(self.ears):
            raise ValueError("models must hold the SHA-256 of exactly the two ears' models")
        return self


class _Counts(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    pair: tuple[PairCount, ...] = ()


class Verified:
    """The counts that hold for ``models``, the SHA-256 of each ear's model on this machine."""

    def __init__(self, counts: Iterable[PairCount], models: Mapping[str, str]) -> None:
        self._counts = tuple(count for count in counts if _holds(count, models))

    def counts(self, first_ear: str, second_ear: str) -> tuple[PairCount, ...]:
        return tuple(c for c in self._counts if set(c.ears) == {first_ear, second_ear})

    def is_verified(self, first_ear: str, second_ear: str) -> bool:
        """Whether one count has enough right values, and none of the pair's has a wrong one.

        Counts are not added up: they may be of the same recordings.
        """
        counts = self.counts(first_ear, second_ear)
        enough = any(count.right >= NEEDED for count in counts)
        return enough and all(count.wrong == 0 for count in counts)


def load_verified(models: Mapping[str, str], home: Path | None = None) -> Verified:
    """The shipped counts and this machine's; raises ModelError where a file of them is damaged."""
    mine = _mine(home)
    counts = _read(SHIPPED, tomllib.loads(SHIPPED.read_text("utf-8"))).pair
    return Verified([*counts, *_read_mine(mine).pair], models)


def remember_counts(counts: Iterable[PairCount], home: Path | None = None) -> Path:
    """Keeps what was counted on this machine, in place of older counts of the same; returns the
    file. Raises ModelError where it can't be written."""
    mine = _mine(home)
    kept = {_key(count): count for count in [*_read_mine(mine).pair, *counts]}
    text = _Counts(pair=tuple(kept.values())).model_dump_json(indent=1)
    new = mine.with_name(f"{mine.name}.{os.getpid()}")
    try:
        mine.parent.mkdir(parents=True, exist_ok=True)
        new.write_text(text + "\n", "utf-8")
        new.replace(mine)
    except OSError as error:
        raise ModelError(
            f"What was verified can't be kept in {mine} ({error.strerror}). Give yourself the "
            "right to write there, or set BENCHCALL_HOME to another folder."
        ) from error
    return mine


def _holds(count: PairCount, models: Mapping[str, str]) -> bool:
    same = all(models.get(ear) == sha256 for ear, sha256 in count.models.items())
    return same and count.software in ("", __version__)


def _key(count: PairCount) -> tuple[object, ...]:
    return frozenset(count.models.items()), count.software


def _mine(home: Path | None) -> Path:
    return (home or default_home()) / "verified.json"


def _read_mine(path: Path) -> _Counts:
    try:
        return _read(path, json.loads(path.read_text("utf-8")))
    except (FileNotFoundError, NotADirectoryError):
        return _Counts()
    except (OSError, ValueError) as error:
        raise ModelError(_damaged(path, str(error))) from error


def _read(path: Path, told: object) -> _Counts:
    try:
        return _Counts.model_validate(told)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise ModelError(_damaged(path, f"{place}: {first['msg']}")) from error


def _damaged(path: Path, why: str) -> str:
    return (
        f"{path} can't be read ({why}). Delete it and verify again: benchcall models --verify."
        if path != SHIPPED
        else f"{path} is damaged ({why}). Install benchcall again."
    )
