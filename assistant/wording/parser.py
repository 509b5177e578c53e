"""The parser: words, heard or typed, become statements.

It reads exactly what was said and guesses nothing: a number with two meanings, a label without a
number, a word that belongs to nothing are kept as not understood, with the reason.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.hearing.heard import HeardWord
from assistant.profile.schema import Profile, SpokenWords
from assistant.wording.breath import Breath
from assistant.wording.finish import statements
from assistant.wording.lexicon import Lexicon
from assistant.wording.mishearings import mishearings
from assistant.wording.statement import ReadingSaid, Statement
from assistant.wording.tokens import tokens
from assistant.wording.value_first import label_first


class Parser:
    """Made once from a profile; ``parse`` keeps no memory between utterances. ``mishearings`` is
    what else may have been said."""

    def __init__(self, profile: Profile, spoken: SpokenWords) -> None:
        self._lexicon = Lexicon(profile, spoken)
        self.mishearings = mishearings(profile, spoken)

    def parse(self, words: Sequence[HeardWord]) -> tuple[Statement, ...]:
        """The statements of one utterance, in the order said; () where only fillers were. Every
        other word is in exactly one statement (an event's in each context that it ends). Never
        raises."""
        said = label_first(tokens(words, self._lexicon.symbols), self._lexicon)
        breath = Breath(self._lexicon, words, said)
        breath.read()
        return statements(breath, self._lexicon, words)

    def parse_text(self, line: str) -> tuple[Statement, ...]:
        """As ``parse``, for a typed line: words or figures ("102", "-65", "12.5 V")."""
        return self.parse(typed_words(line))

    def may_go_on(self, reading: ReadingSaid, quantity: str) -> bool:
        """Whether a bare number could still become another value of the ``quantity`` expected."""
        if not reading.value.may_go_on:
            return False
        largest, decimals = self._lexicon.reach(quantity)
        said = tuple(token.text for token in tokens(reading.words, self._lexicon.symbols))
        return self._lexicon.numbers.may_go_on(said, largest, decimals)


def typed_words(line: str) -> tuple[HeardWord, ...]:
    """Typed words have no times, and are certain."""
    return tuple(HeardWord(word, 0.0, 0.0, 1.0) for word in line.split())
