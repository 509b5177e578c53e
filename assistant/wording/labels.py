"""What a profile's phrases mean: quantities, positions, contexts, observations, commands.

One table holds them all, so that the longest phrase wins whatever it is ("guide resistance"
before "guide"), and a phrase with two meanings ("guide": the signal, or the wire) keeps both.

A dictionary by first word finds what spaCy's PhraseMatcher finds (a test holds the two side by
side) without a second and 60 MB of its own at every start.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from assistant.profile.schema import Profile, SpokenWords

Kind = Literal[
    "quantity",
    "position",
    "context",
    "mistakable",
    "event",
    "observation",
    "command",
    "state",
    "unit",
    "filler",
]


class Meaning(NamedTuple):
    """``id`` names it in the profile; ``value`` is a context's value, else ""."""

    kind: Kind
    id: str
    value: str = ""


class Found(NamedTuple):
    """A phrase that begins at a token: how many tokens long, and all it can mean."""

    length: int
    phrase: str
    meanings: tuple[Meaning, ...]

    def of(self, *kinds: Kind) -> Meaning | None:
        return next((m for m in self.meanings if m.kind in kinds), None)


class Phrases:
    """A table of phrases, looked up by the longest one that begins at a token."""

    def __init__(self, phrases: Iterable[tuple[str, Meaning]]) -> None:
        meanings: dict[str, list[Meaning]] = defaultdict(list)
        for phrase, meaning in phrases:
            if meaning not in meanings[phrase]:
                meanings[phrase].append(meaning)
        self._by_first: dict[str, list[tuple[list[str], Found]]] = defaultdict(list)
        for phrase in sorted(meanings, key=lambda p: -len(p.split())):
            words = phrase.split()
            found = Found(len(words), phrase, tuple(meanings[phrase]))
            self._by_first[words[0]].append((words, found))
        self.vocabulary = frozenset(word for phrase in meanings for word in phrase.split())

    def at(self, texts: Sequence[str], index: int) -> Found | None:
        """The longest phrase that begins at ``index``."""
        return next(self.all_at(texts, index), None)

    def all_at(self, texts: Sequence[str], index: int) -> Iterator[Found]:
        """Every phrase that begins at ``index``, the longest first."""
        for words, found in self._by_first.get(texts[index], ()):
            if found.length == 1 or texts[index : index + found.length] == words:
                yield found


def label_phrases(profile: Profile, spoken: SpokenWords) -> Phrases:
    """Everything with a meaning of its own wherever it stands."""
    return Phrases(_meanings(profile, spoken))


def choice_phrases(profile: Profile) -> dict[str, Phrases]:
    """By observation: the choices that may follow its name."""
    return {
        observation.id: Phrases(
            (phrase, Meaning("observation", choice.id))
            for choice in observation.choice
            for phrase in choice.spoken
        )
        for observation in profile.observation
        if observation.kind == "choice"
    }


def round_phrases(profile: Profile) -> Phrases:
    return Phrases(
        (phrase, Meaning("command", round_.id))
        for round_ in profile.round
        for phrase in round_.spoken
    )


def _meanings(profile: Profile, spoken: SpokenWords) -> Iterable[tuple[str, Meaning]]:
    for quantity in profile.quantity:
        yield from ((p, Meaning("quantity", quantity.id)) for p in quantity.spoken)
        yield from ((p, Meaning("unit", quantity.unit)) for p in quantity.unit_spoken)
    for position in profile.position:
        yield from ((p, Meaning("position", position.id)) for p in position.spoken)
    for context in profile.context:
        for value in context.value:
            yield from ((p, Meaning("context", context.id, value.id)) for p in value.spoken)
        yield from ((p, Meaning("mistakable", context.id)) for p in context.mistakable)
    for event in profile.event:
        yield from ((p, Meaning("event", event.id)) for p in event.spoken)
    for observation in profile.observation:
        yield from ((p, Meaning("observation", observation.id)) for p in observation.spoken)
    for command in spoken.command:
        yield from ((p, Meaning("command", command.id)) for p in command.spoken)
    yield from ((p, Meaning("state", "no_reading")) for p in spoken.no_reading)
    yield from ((p, Meaning("state", "off_scale")) for p in spoken.off_scale)
    fillers = (*spoken.fillers, *spoken.before_context(profile.profile.machine))
    yield from ((p, Meaning("filler", "filler")) for p in fillers)
