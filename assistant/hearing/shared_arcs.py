"""Arcs that many states have in common, kept once: a finite-state grammar a third of the size.

After every whole reading anything may follow, so hundreds of states end in the same hundred arcs.
A state whose arcs include all of another's takes a soundless step to that one instead. The chances
of all phrases stay what they were.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.hearing.acceptor import Arc

FEWEST = 4
"""Arcs that are worth a soundless step."""


@dataclass(frozen=True, slots=True)
class SharedArcs:
    """``spoken`` are (from, word, to, chance), ``silent`` (from, to, chance). One silent step leads
    to all that a state shares: no two follow each other."""

    spoken: tuple[tuple[int, str, int, float], ...]
    silent: tuple[tuple[int, int, float], ...]


def share_arcs(arcs: Iterable[Arc]) -> SharedArcs:
    """All arcs of a state are equally likely, as if they stood there alone."""
    steps: dict[int, set[tuple[str, int]]] = defaultdict(set)
    for source, word, target in arcs:
        steps[source].add((word, target))
    leaving = {state: frozenset(found) for state, found in steps.items()}
    by_size = sorted(leaving, key=lambda state: (-len(leaving[state]), state))
    own: dict[int, set[tuple[str, int]]] = {}
    hubs: dict[int, list[int]] = {}
    for state, all_of_it in leaving.items():
        own[state], hubs[state] = set(all_of_it), []
        for hub in by_size:
            if FEWEST <= len(leaving[hub]) < len(all_of_it) and leaving[hub] <= own[state]:
                own[state] -= leaving[hub]
                hubs[state].append(hub)
    spoken = [
        (state, word, target, 1 / len(leaving[state]))
        for state in sorted(leaving)
        for word, target in sorted(own[state])
    ]
    silent = [
        (state, hub, len(leaving[hub]) / len(leaving[state]))
        for state in sorted(leaving)
        for hub in sorted(_all_hubs(state, hubs))
        if own[hub]
    ]
    return SharedArcs(tuple(spoken), tuple(silent))


def _all_hubs(state: int, hubs: dict[int, list[int]]) -> set[int]:
    """The hubs of a state and theirs in turn."""
    found: set[int] = set()
    waiting = list(hubs[state])
    while waiting:
        hub = waiting.pop()
        if hub not in found:
            found.add(hub)
            waiting += hubs[hub]
    return found
