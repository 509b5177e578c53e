"""Label words that were heard or typed a little wrong ("gide"), matched by likeness.

Only the names of quantities, positions and observations are matched so. A word that looks as much
like a number, a context or a command is left alone: for these, nearly right is not right.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from rapidfuzz import fuzz, process

LEAST_LIKENESS = 85.0
"""Out of 100: a letter too few or too many in a short word ("gide" 89), a wrong one in a longer
("qualiti" 86)."""
LEAST_LEAD = 10.0
"""How far the next likely word must lie behind."""
LEAST_LETTERS = 4


class NearLabels:
    """``labels`` are words that may be matched, ``all_words`` everything that can be said."""

    def __init__(self, labels: Iterable[str], all_words: Iterable[str]) -> None:
        self._labels = frozenset(word for word in labels if len(word) >= LEAST_LETTERS)
        self._all = tuple(sorted({*self._labels, *all_words}))
        self.meant = lru_cache(maxsize=4096)(self._meant)

    def _meant(self, word: str) -> str | None:
        """The label word that ``word`` stands for, None where that isn't certain."""
        if len(word) < LEAST_LETTERS or not word.isalpha():
            return None
        near = process.extract(word, self._all, scorer=fuzz.ratio, limit=2)
        best, likeness, _ = near[0]
        lead = likeness - near[1][1] if len(near) > 1 else likeness
        sure = likeness >= LEAST_LIKENESS and lead >= LEAST_LEAD
        return best if sure and best in self._labels else None
