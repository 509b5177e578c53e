"""What words that belong to nothing may have been meant for: shown beside them, never taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from rapidfuzz import fuzz, process

MOST = 3
LEAST_LETTERS = 3
LEAST_LIKENESS = 75.0
"""Out of 100; lower than where a word is taken for a label, since here a person decides."""


class Suggested:
    """``names`` are the phrases that may be suggested, those for one thing together."""

    def __init__(self, names: Iterable[Sequence[str]]) -> None:
        self._by_word: dict[str, list[str]] = {}
        self._same: dict[str, int] = {}
        for number, phrases in enumerate(names):
            for phrase in phrases:
                if self._same.setdefault(phrase, number) == number:
                    for word in dict.fromkeys(phrase.split()):
                        self._by_word.setdefault(word, []).append(phrase)
        self._likely = lru_cache(maxsize=1024)(self._with)

    def instead_of(self, words: Sequence[str]) -> tuple[str, ...]:
        """Up to three phrases, each for another thing, that have one of the words, or one written
        much like it; that word alone where it is a phrase."""
        long = (word for word in words if len(word) >= LEAST_LETTERS)
        found: dict[int, str] = {}
        for phrase in (phrase for word in long for phrase in self._likely(word)):
            found.setdefault(self._same[phrase], phrase)
        return tuple(found.values())[:MOST]

    def _with(self, word: str) -> tuple[str, ...]:
        if word not in self._by_word:
            near = process.extractOne(
                word, list(self._by_word), scorer=fuzz.ratio, score_cutoff=LEAST_LIKENESS
            )
            word = near[0] if near else ""
        phrases = self._by_word.get(word, [])
        return (word,) if word in phrases else tuple(phrases)
