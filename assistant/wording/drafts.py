"""Statements while an utterance is still being read: what later words may correct or complete."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from assistant.hearing.heard import HeardWord
from assistant.wording.statement import State, Statement

Words = tuple[HeardWord, ...]


@dataclass(slots=True)
class Label:
    """Label words that wait for their number. ``position_first``: the position is the heading
    ("front: guide 102, boundary 136"). ``wire`` is the context that the words mean if no number
    follows ("guide" alone). ``replaceable``: a correction came between, so that these parts may be
    said anew."""

    places: list[int] = field(default_factory=list)
    quantity: str | None = None
    position: str | None = None
    position_first: bool = False
    wire: tuple[str, str] | None = None
    replaceable: set[str] = field(default_factory=set)
    refusal: str | None = None

    @property
    def empty(self) -> bool:
        return self.quantity is None and self.position is None


@dataclass(slots=True)
class Number:
    """What was said for a value: a number, a state without one, or a refusal with its reason.
    ``texts`` are the number's own words; ``last``: nothing was said after them."""

    state: State = "value"
    number: str | None = None
    refusal: str | None = None
    units: frozenset[str] | None = None
    unit_said: str = ""
    texts: tuple[str, ...] = ()
    last: bool = False

    def same(self, other: Number) -> bool:
        return (
            self.refusal is None
            and other.refusal is None
            and (self.state, self.number) == (other.state, other.number)
        )


@dataclass(slots=True)
class ReadingDraft:
    """``at`` is its number's place among the contexts. ``quantity`` is the label said, ``carried``
    the one that runs on from before; ``heading`` is the position that does."""

    places: list[int]
    at: int
    quantity: str | None
    position: str | None
    number: Number
    carried: str | None = None
    heading: str | None = None
    refusal: str | None = None
    corrects: bool = False


@dataclass(slots=True)
class ContextDraft:
    places: list[int]
    at: int
    key: str
    value: str | None
    corrects: bool = False
    doubtful: str = ""


@dataclass(slots=True)
class OtherDraft:
    """Anything that is whole as soon as it is said; ``item`` names an observation.
    ``unfinished`` gives the reason why a bare number must not follow it."""

    places: list[int]
    make: Callable[[Words, bool], Statement]
    item: str = ""
    corrects: bool = False
    unfinished: str = ""


Draft = ReadingDraft | ContextDraft | OtherDraft


def words_at(words: Sequence[HeardWord], places: Sequence[int]) -> Words:
    return tuple(words[place] for place in sorted(set(places)))
