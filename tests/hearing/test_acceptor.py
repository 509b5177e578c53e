"""The acceptor says exactly what the word graph says."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.acceptor import acceptor
from assistant.profile.word_graph import WordGraph

STATES, WORDS = 5, ("front", "rear", "one", "")
ARCS = st.lists(
    st.tuples(st.integers(0, STATES - 1), st.sampled_from(WORDS), st.integers(0, STATES - 1)),
    max_size=14,
)
PHRASES = st.lists(st.sampled_from(WORDS[:3]), max_size=5)


@given(ARCS, st.frozensets(st.integers(0, STATES - 1)), PHRASES)
def test_it_accepts_what_the_graph_accepts(
    arcs: list[tuple[int, str, int]], finals: frozenset[int], phrase: list[str]
) -> None:
    graph = WordGraph(tuple(arcs), 0, finals)
    assert acceptor(graph).accepts(phrase) == graph.accepts(phrase)


@given(ARCS, st.frozensets(st.integers(0, STATES - 1)), PHRASES)
def test_without_a_word_it_keeps_the_phrases_that_do_not_need_it(
    arcs: list[tuple[int, str, int]], finals: frozenset[int], phrase: list[str]
) -> None:
    graph = WordGraph(tuple(arcs), 0, finals)
    expected = "rear" not in phrase and graph.accepts(phrase)
    assert acceptor(graph, without={"rear"}).accepts(phrase) == expected


def test_every_state_leads_on_to_an_end() -> None:
    graph = WordGraph(((0, "front", 1), (1, "one", 2), (0, "rear", 3)), 0, frozenset({2}))
    assert acceptor(graph).words == {"front", "one"}


def test_equal_endings_are_shared() -> None:
    arcs = ((0, "front", 1), (0, "rear", 2), (1, "one", 3), (2, "one", 4))
    assert len(acceptor(WordGraph(arcs, 0, frozenset({3, 4}))).steps) == 3
