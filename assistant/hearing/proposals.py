"""What an open-vocabulary ear is asked to weigh: the phrases of the ears before, and their likes.

A recogniser of free speech seldom finds the words of a trade by itself ("dock loop front minus
48"), but it tells well which of some given phrases it was. So that it is no echo of the ear that
proposed them, each of that ear's best phrases comes with the phrases that are easily taken for it:
thirteen for thirty, docked for undocked, minus for nothing and the reverse.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from assistant.hearing.heard import EarHearing
from assistant.numbers.in_words import Numbers
from assistant.profile.schema import ContextValue, Profile, SpokenWords

BEST = 2
"""Phrases of an ear whose likes are weighed too."""
MOST = 6
"""Phrases of one ear that are weighed at all."""

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A phrase, and how it may be written: in words, with its numbers in figures, and with the
    trade's own words as a recogniser writes them that lacks them."""

    words: Words
    written: tuple[str, ...]


class Proposer:
    """Made once from what can be said."""

    def __init__(self, profile: Profile, spoken: SpokenWords) -> None:
        self._numbers = Numbers(spoken.numbers)
        self._minus = spoken.numbers.minus[0]
        self._alike = spoken.numbers.alike
        self._others: list[tuple[Words, tuple[Words, ...]]] = []
        self._spellings: list[tuple[Words, tuple[Words, ...]]] = []
        for context in profile.context:
            for value in context.value:
                others = tuple(_usual(other) for other in context.value if other is not value)
                written = tuple(tuple(form.split()) for form in value.written)
                for said in value.spoken:
                    self._others.append((tuple(said.split()), others))
                    self._spellings.append((tuple(said.split()), written))

    def propose(self, hearings: Sequence[EarHearing]) -> tuple[Proposal, ...]:
        """All phrases to weigh, each once, the likeliest of each ear first; () where no ear has
        heard any."""
        found: dict[Words, None] = {}
        for hearing in hearings:
            phrases = [
                tuple(word.text for word in hypothesis.words)
                for hypothesis in hearing.hypotheses[:MOST]
                if hypothesis.words
            ]
            found |= dict.fromkeys(phrases)
            for phrase in phrases[:BEST]:
                found |= dict.fromkeys(self._likes(phrase))
        return tuple(Proposal(words, self._written(words)) for words in found)

    def _likes(self, words: Words) -> Iterator[Words]:
        for place, word in enumerate(words):
            before, after = words[:place], words[place + 1 :]
            if word in self._alike:
                yield (*before, self._alike[word], *after)
            if self._numbers.is_sign(word):
                yield (*before, *after)
        yield from self._signed(words)
        for said, others in self._others:
            yield from _exchanged(words, said, others)

    def _signed(self, words: Words) -> Iterator[Words]:
        """With a minus before each number that has none."""
        place = 0
        while place < len(words):
            end = self._numbers.run(words, place)
            if end > place and not self._numbers.is_sign(words[place]):
                yield (*words[:place], self._minus, *words[place:])
            place = max(end, place + 1)

    def _written(self, words: Words) -> tuple[str, ...]:
        forms = [self._in_figures(words), words]
        for said, spellings in self._spellings:
            forms += [new for form in forms for new in _exchanged(form, said, spellings)]
        return tuple(dict.fromkeys(map(_sentence, forms)))

    def _in_figures(self, words: Words) -> Words:
        """With every number in figures, as a recogniser of free speech mostly writes it."""
        written: list[str] = []
        place = 0
        while place < len(words):
            end = self._numbers.run(words, place)
            number = self._numbers.read(words[place:end]) if end > place else None
            if not isinstance(number, str):
                end = max(end, place + 1)
                written += words[place:end]
            elif number.startswith("-"):
                written += [words[place], number[1:]]
            else:
                written.append(number)
            place = end
        return tuple(written)


def _usual(value: ContextValue) -> Words:
    return tuple(value.spoken[0].split())


def _exchanged(words: Words, said: Words, others: Iterable[Words]) -> Iterator[Words]:
    """``words`` with each of the ``others`` wherever ``said`` stands."""
    for at in range(len(words) - len(said) + 1):
        if words[at : at + len(said)] == said:
            yield from ((*words[:at], *other, *words[at + len(said) :]) for other in others)


def _sentence(words: Words) -> str:
    text = " ".join(words)
    return f"{text[:1].upper()}{text[1:]}."
