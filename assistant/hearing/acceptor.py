"""The word graph as decoders want it: a deterministic acceptor, as small as it can be.

It has no soundless steps and no dead ends, so every path through it is one sayable phrase and
every sayable phrase is one path. Words that a recogniser cannot hear are left out, and with them
every phrase that needs them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from assistant.profile.word_graph import WordGraph

Arc = tuple[int, str, int]


@dataclass(frozen=True, slots=True)
class Acceptor:
    """``steps[state][word]`` is the next state; states are 0 (the start) to len(steps) − 1."""

    steps: tuple[dict[str, int], ...]
    finals: frozenset[int]

    @property
    def words(self) -> frozenset[str]:
        return frozenset(word for step in self.steps for word in step)

    @property
    def arcs(self) -> tuple[Arc, ...]:
        return tuple(
            (source, word, target)
            for source, step in enumerate(self.steps)
            for word, target in step.items()
        )

    def accepts(self, words: Sequence[str]) -> bool:
        """Whether the words are one whole path from the start to a final state."""
        state: int | None = 0
        for word in words:
            if state is None:
                return False
            state = self.steps[state].get(word)
        return state in self.finals


def acceptor(graph: WordGraph, without: Collection[str] = frozenset()) -> Acceptor:
    """The smallest acceptor of the graph's phrases that need none of the words in ``without``.

    Brzozowski's way: turn the arcs round and make them deterministic, twice.
    """
    arcs = [arc for arc in graph.arcs if arc[1] not in without]
    back = _determinise([(b, w, a) for a, w, b in arcs], graph.finals, {graph.start})
    return _determinise([(b, w, a) for a, w, b in back.arcs], back.finals, {0})


def _determinise(arcs: Iterable[Arc], starts: Collection[int], finals: Collection[int]) -> Acceptor:
    """The subset construction."""
    silent: dict[int, set[int]] = defaultdict(set)
    spoken: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for source, word, target in arcs:
        if word:
            spoken[source].append((word, target))
        else:
            silent[source].add(target)
    closed: dict[int, frozenset[int]] = {}

    def closure(state: int) -> frozenset[int]:
        if state not in closed:
            reached, waiting = {state}, [state]
            while waiting:
                new = silent[waiting.pop()] - reached
                reached |= new
                waiting.extend(new)
            closed[state] = frozenset(reached)
        return closed[state]

    first = frozenset().union(*(closure(state) for state in starts))
    number = {first: 0}
    waiting = [first]
    steps: list[dict[str, int]] = []
    while len(steps) < len(waiting):
        targets: dict[str, set[int]] = defaultdict(set)
        for state in waiting[len(steps)]:
            for word, target in spoken[state]:
                targets[word] |= closure(target)
        step: dict[str, int] = {}
        for word in sorted(targets):
            subset = frozenset(targets[word])
            if subset not in number:
                number[subset] = len(waiting)
                waiting.append(subset)
            step[word] = number[subset]
        steps.append(step)
    return Acceptor(
        tuple(steps), frozenset(n for s, n in number.items() if not s.isdisjoint(finals))
    )
