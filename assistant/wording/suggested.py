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
    """``phrases`` are those that may be suggested."""

    def __init__(self, phrases: Iterable[str]) -> None:
        self._by_word: dict[str, list[str]] = {}
        for phrase in dict.fromkeys(phrases):
            for word in dict.fromkeys(phrase.split()):
                self._by_word.setdefault(word, []).append(phrase)
        self._likely = lru_cache(maxsize=1024)(self._with)

    def instead_of(self, words: Sequence[str]) -> tuple[str, ...]:
        """Up to three phrases that have one of the words, or one written much like it; that word
        alone where it is a phrase."""
        long = (word for word in words if len(word) >= LEAST_LETTERS)
        found = [phrase for word in long for phrase in self._likely(word)]
        return tuple(dict.fromkeys(found))[:MOST]

    def _with(self, word: str) -> tuple[str, ...]:
        if word not in self._by_word:
            near = process.extractOne(
                word, list(self._by_word), scorer=fuzz.ratio, score_cutoff=LEAST_LIKENESS
            )
            word = near[0] if near else ""
        phrases = self._by_word.get(word, [])
        return (word,) if word in phrases else tuple(phrases)
