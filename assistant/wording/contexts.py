"""Which of an utterance's contexts governs which reading.

One context in an utterance governs all of it, wherever it stands. With two of the same key each
governs what follows it, and a reading before the first is unclear. What ends a context ("mower
moved") leaves the readings after it unclear, and the ones before it as they were.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(slots=True)
class Saying:
    """A context at a place in the utterance. ``value`` None: it ended here, or was said unclearly
    (``doubtful``: "and docked", which may have been "undocked")."""

    key: str
    value: str | None
    place: int
    doubtful: bool


@dataclass(frozen=True, slots=True)
class Governing:
    context: tuple[tuple[str, str], ...]
    unclear: tuple[str, ...]


class Sayings:
    """All contexts of one utterance, sorted once: a long one has many readings that ask."""

    def __init__(self, sayings: Iterable[Saying]) -> None:
        self._by_key: dict[str, _OneKey] = {}
        for saying in sorted(sayings, key=lambda one: one.place):
            self._by_key.setdefault(saying.key, _OneKey()).add(saying)

    def governing(self, place: int) -> Governing:
        """What governs a reading at ``place``."""
        context: list[tuple[str, str]] = []
        unclear: list[str] = []
        for key, said in self._by_key.items():
            governs = said.at(place)
            if isinstance(governs, str):
                context.append((key, governs))
            elif governs is None:
                unclear.append(key)
        return Governing(tuple(context), tuple(unclear))


class _Silent:
    """The utterance says nothing for this reading: the running context holds."""


class _OneKey:
    """What an utterance says of one context, in the order said."""

    def __init__(self) -> None:
        self._places: list[int] = []
        self._values: list[str | None] = []
        self._different: set[str | None] = set()
        self._doubtful = False

    def add(self, saying: Saying) -> None:
        self._places.append(saying.place)
        self._values.append(saying.value)
        self._different.add(saying.value)
        self._doubtful |= saying.doubtful

    def at(self, place: int) -> str | _Silent | None:
        """A value, None where it is unclear."""
        if self._doubtful:
            return None
        first = self._values[0]
        if len(self._different) == 1 and first is not None:
            return first
        before = bisect_left(self._places, place)
        if before:
            return self._values[before - 1]
        return _Silent() if first is None else None
