"""What else may have been said: words that sound alike, and words that may be lost where the
beginning is cut off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from assistant.profile.schema import Profile, SpokenWords


class Mishearings(NamedTuple):
    """``alike``: number words that are easily taken for another, each for the other. ``before``:
    phrases that may be lost in front of a statement, each with the context that it sets ("" for
    none). ``longer``: to a word those that end in it ("docked": "undocked")."""

    alike: Mapping[str, str] = MappingProxyType({})
    before: tuple[tuple[str, str], ...] = ()
    longer: Mapping[str, tuple[str, ...]] = MappingProxyType({})


NONE = Mishearings()


def mishearings(profile: Profile, spoken: SpokenWords) -> Mishearings:
    """Lost may be signs, figures, contexts, and what makes of a label one that ends in it."""
    numbers = spoken.numbers
    labels = [said for quantity in profile.quantity for said in quantity.spoken]
    contexts = [
        (context.id, said)
        for context in profile.context
        for value in context.value
        for said in value.spoken
    ]
    figure = next(iter(numbers.digits))
    phrases = [*labels, *(said for _, said in contexts)]
    alone = [*numbers.minus, *numbers.point, figure, *_lost_of_longer(phrases)]
    before = (*(("", phrase) for phrase in dict.fromkeys(alone)), *contexts)
    words = {word for said in phrases for word in said.split()}
    longer = defaultdict(list)
    for word in sorted(words):
        for end in words:
            if word != end and word.endswith(end):
                longer[end].append(word)
    ends = {end: tuple(found) for end, found in longer.items()}
    return Mishearings(numbers.alike, before, ends)


def _lost_of_longer(labels: list[str]) -> Iterator[str]:
    for longer in labels:
        for label in labels:
            if longer.endswith(f" {label}"):
                yield longer.removesuffix(f" {label}")
