"""A profile's sayable phrases as one finite-state graph of words, which every ear's grammar
is made from (a finite-state grammar for pocketsphinx, word pairs for Vosk, a decoding graph for our
own ears)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class WordGraph:
    """``arcs`` are (from state, word, to state); an empty word is a step without sound.
    ``fillers`` are words that may be left out where what follows them could stand in their place
    ("the" before a label, not in "moved the mower")."""

    arcs: tuple[tuple[int, str, int], ...]
    start: int
    finals: frozenset[int]
    fillers: frozenset[str] = frozenset()

    @property
    def words(self) -> frozenset[str]:
        return frozenset(word for _, word, _ in self.arcs if word)

    def accepts(self, words: Sequence[str]) -> bool:
        """Whether the words are one whole path from the start to a final state."""
        steps = _steps(self)
        here = _silent(steps, {self.start})
        for word in words:
            here = _silent(steps, {t for s in here for t in steps.get((s, word), ())})
        return not here.isdisjoint(self.finals)


@lru_cache(maxsize=4)
def _steps(graph: WordGraph) -> dict[tuple[int, str], list[int]]:
    steps: dict[tuple[int, str], list[int]] = {}
    for source, word, target in graph.arcs:
        steps.setdefault((source, word), []).append(target)
    return steps


def _silent(steps: dict[tuple[int, str], list[int]], states: set[int]) -> set[int]:
    """``states`` and all that steps without sound lead to from them."""
    reached, waiting = set(states), list(states)
    while waiting:
        for target in steps.get((waiting.pop(), ""), ()):
            if target not in reached:
                reached.add(target)
                waiting.append(target)
    return reached
