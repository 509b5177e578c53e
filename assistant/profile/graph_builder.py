"""Puts a word graph together: states are numbered, phrases become chains of words."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.profile.word_graph import WordGraph


class Builder:
    """Collects arcs; equal arcs are kept once."""

    def __init__(self) -> None:
        self._arcs: dict[tuple[int, str, int], None] = {}
        self._states = 0
        self.start = self.state()
        self.finals: set[int] = set()
        self.fillers: set[str] = set()

    def state(self) -> int:
        self._states += 1
        return self._states - 1

    def arc(self, source: int, word: str, target: int) -> None:
        """``word`` may be empty: a step without sound."""
        self._arcs[source, word, target] = None

    def arcs(self, source: int, words: Iterable[str], target: int) -> None:
        for word in words:
            self.arc(source, word, target)

    def phrase(self, source: int, phrase: str, target: int) -> None:
        """``phrase`` is words with single spaces; none at all is a step without sound."""
        *first, last = phrase.split(" ")
        for word in first:
            step = self.state()
            self.arc(source, word, step)
            source = step
        self.arc(source, last, target)

    def phrases(self, source: int, phrases: Iterable[str], target: int) -> None:
        for phrase in phrases:
            self.phrase(source, phrase, target)

    def graph(self) -> WordGraph:
        return WordGraph(
            tuple(self._arcs), self.start, frozenset(self.finals), frozenset(self.fillers)
        )
