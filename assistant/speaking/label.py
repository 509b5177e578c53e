"""The name of a reading, shown and said: quantity, then position, in that order always.

The position stands right before the value, so that a front and rear that were swapped in hearing
are heard swapped in the read-back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.profile.schema import Position, Profile, Quantity


def quantity_of(profile: Profile, id_: str | None) -> Quantity | None:
    return next((q for q in profile.quantity if q.id == id_), None)


def position_of(profile: Profile, id_: str | None) -> Position | None:
    return next((p for p in profile.position if p.id == id_), None)


def shown_label(profile: Profile, quantity: str | None, position: str | None) -> str:
    """``guide signal front``; an id that the profile lacks is shown in plain words."""
    q, p = quantity_of(profile, quantity), position_of(profile, position)
    names = [q.title if q else _plain(quantity), p.title if p else _plain(position)]
    return " ".join(name for name in names if name)


def spoken_label(
    profile: Profile, quantity: str | None, position: str | None, terse: bool = False
) -> str:
    """The words that the recognisers know the label by; terse takes the shortest of them."""
    q, p = quantity_of(profile, quantity), position_of(profile, position)
    names = [
        _words(q.spoken, terse) if q else _plain(quantity),
        _words(p.spoken, terse) if p else _plain(position),
    ]
    return " ".join(name for name in names if name)


def context_words(profile: Profile, context: Mapping[str, str], keys: Iterable[str]) -> list[str]:
    """The first spoken word of each context value among ``keys``, in the profile's order."""
    wanted = set(keys)
    return [
        value.spoken[0]
        for key in profile.context
        if key.id in wanted
        for value in key.value
        if context.get(key.id) == value.id
    ]


def _words(spoken: tuple[str, ...], terse: bool) -> str:
    return min(spoken, key=len) if terse else spoken[0]


def _plain(id_: str | None) -> str:
    return (id_ or "").replace("_", " ")
