"""Which of an utterance's contexts governs which reading.

One context in an utterance governs all of it, wherever it stands. With two of the same key each
governs what follows it, and a reading before the first is unclear. What ends a context ("mower
moved") leaves the readings after it unclear, and the ones before it as they were.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(slots=True)
class Saying:
    """A context at a place in the utterance. ``value`` None: it ended here, or was said unclearly
    (``doubtful``: "and docked", which may have been "undocked")."""

    key: str
    value: str | None
    place: int
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Governing:
    context: tuple[tuple[str, str], ...]
    unclear: tuple[str, ...]


def governing(sayings: Iterable[Saying], place: int) -> Governing:
    """What governs a reading at ``place``; ``sayings`` in the order said."""
    by_key: dict[str, list[Saying]] = {}
    for saying in sayings:
        by_key.setdefault(saying.key, []).append(saying)
    context: list[tuple[str, str]] = []
    unclear: list[str] = []
    for key, said in by_key.items():
        governs = _one(said, place)
        if isinstance(governs, str):
            context.append((key, governs))
        elif governs is None:
            unclear.append(key)
    return Governing(tuple(context), tuple(unclear))


class _Silent:
    """The utterance says nothing for this reading: the running context holds."""


def _one(said: list[Saying], place: int) -> str | _Silent | None:
    """A value, None where it is unclear."""
    if any(saying.doubtful for saying in said):
        return None
    values = {saying.value for saying in said}
    if len(values) == 1 and (only := said[0].value) is not None:
        return only
    before = [saying for saying in said if saying.place < place]
    if before:
        return before[-1].value
    return _Silent() if said[0].value is None else None
