"""A profile's sayable phrases as one finite-state graph of words, which every ear's grammar
is made from (JSGF for pocketsphinx, a word list for Vosk, a decoding graph for our own ear)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WordGraph:
    """``arcs`` are (from state, word, to state); an empty word is a step without sound."""

    arcs: tuple[tuple[int, str, int], ...]
    start: int
    finals: frozenset[int]

    @property
    def words(self) -> frozenset[str]:
        return frozenset(word for _, word, _ in self.arcs if word)

    def accepts(self, words: Sequence[str]) -> bool:
        """Whether the words are one whole path from the start to a final state."""
        steps: dict[tuple[int, str], list[int]] = defaultdict(list)
        for source, word, target in self.arcs:
            steps[source, word].append(target)

        def silent(states: set[int]) -> set[int]:
            reached, waiting = set(states), list(states)
            while waiting:
                for target in steps.get((waiting.pop(), ""), ()):
                    if target not in reached:
                        reached.add(target)
                        waiting.append(target)
            return reached

        here = silent({self.start})
        for word in words:
            here = silent({t for s in here for t in steps.get((s, word), ())})
        return not here.isdisjoint(self.finals)
