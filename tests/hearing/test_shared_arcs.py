"""Sharing arcs changes the size of a grammar, and nothing that can be said with it."""

from __future__ import annotations

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.acceptor import Arc, acceptor
from assistant.hearing.shared_arcs import share_arcs
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph

ARCS = st.sets(
    st.tuples(st.integers(0, 4), st.sampled_from([*"abcdefgh"]), st.integers(0, 4)), max_size=90
)


def _chances(arcs: set[Arc]) -> dict[Arc, float]:
    """Each arc's chance, by way of at most one silent step."""
    shared = share_arcs(arcs)
    spoken: dict[int, list[tuple[str, int, float]]] = defaultdict(list)
    for source, word, target, chance in shared.spoken:
        spoken[source].append((word, target, chance))
    found: dict[Arc, float] = defaultdict(float)
    ways = [(state, state, 1.0) for state in range(5)]
    for source, hub, chance in [*ways, *shared.silent]:
        for word, target, then in spoken[hub]:
            found[source, word, target] += chance * then
    return dict(found)


@given(ARCS)
def test_every_arc_keeps_its_chance(arcs: set[Arc]) -> None:
    leaving: dict[int, int] = defaultdict(int)
    for source, _, _ in arcs:
        leaving[source] += 1
    assert _chances(arcs) == pytest.approx({arc: 1 / leaving[arc[0]] for arc in arcs})


def test_the_shipped_grammar_is_less_than_half_the_size() -> None:
    arcs = acceptor(word_graph(load_profile(), load_spoken())).arcs
    shared = share_arcs(arcs)
    assert len(shared.spoken) + len(shared.silent) < len(arcs) / 2
