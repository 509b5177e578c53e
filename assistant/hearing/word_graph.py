"""A profile's sayable phrases as one finite-state graph of words, which every ear's grammar
is made from (JSGF for pocketsphinx, a word list for Vosk, a decoding graph for our own ear)."""

from __future__ import annotations

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
