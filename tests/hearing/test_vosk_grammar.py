"""What Vosk is given for a word graph, and what stands in for words that a model lacks."""

from __future__ import annotations

import pytest

from assistant.hearing.acceptor import acceptor
from assistant.hearing.vosk_grammar import candidates, joined, stand_ins, vosk_grammar, ways
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.profile.word_graph import WordGraph

SMALL = WordGraph(
    ((0, "undocked", 1), (1, "front", 2), (2, "one", 3), (2, "labour", 3), (3, "two", 4)),
    0,
    frozenset({1, 4}),
)


def _grammar(missing: set[str], unknown: tuple[str, ...] = ("[unk]",)) -> object:
    given = stand_ins(SMALL.words, missing)
    left_out = SMALL.words - given.keys()
    return vosk_grammar(acceptor(SMALL, left_out), given, left_out, unknown)


def test_neighbouring_words_and_the_unknown_word_are_the_grammar() -> None:
    assert set(_grammar(set()).phrases) == {
        "undocked", "undocked front", "front one", "front labour", "one two", "labour two",
        "two", "[unk]",
    }  # fmt: skip


def test_a_missing_word_is_given_in_parts_and_comes_back_whole() -> None:
    grammar = _grammar({"undocked", "ndocked"})
    assert "un docked front" in grammar.phrases
    assert joined(["un", "docked", "front"], grammar.instead) == [
        ("undocked", 0, 2),
        ("front", 2, 3),
    ]


def test_where_the_prefix_is_missing_too_a_word_that_sounds_alike_is_given() -> None:
    assert stand_ins(["undocked"], {"undocked", "un"})["undocked"] == ("on", "docked")


def test_and_docked_never_comes_back_as_undocked() -> None:
    assert ("and", "docked") not in ways("undocked")


def test_a_british_spelling_is_given_in_american_and_comes_back_british() -> None:
    grammar = _grammar({"labour"})
    assert "front labor" in grammar.phrases
    assert joined(["front", "labor"], grammar.instead)[1] == ("labour", 1, 2)


def test_a_word_without_a_stand_in_is_left_out_with_its_phrases_and_told() -> None:
    grammar = _grammar({"front"})
    assert grammar.left_out == ("front",)
    assert set(grammar.phrases) == {"undocked", "[unk]"}


def test_a_model_without_the_unknown_word_is_not_given_it() -> None:
    assert "[unk]" not in _grammar(set(), unknown=()).phrases


def test_a_grammar_with_nothing_to_say_is_refused() -> None:
    lacking = candidates(SMALL.words)
    given = stand_ins(SMALL.words, lacking)
    with pytest.raises(ValueError, match="none of the words"):
        vosk_grammar(acceptor(SMALL, SMALL.words), given, SMALL.words, unknown=["[unk]"])


@pytest.mark.parametrize("word", ["Front", "10", 'a"b', "two words", ""])
def test_what_is_no_lower_case_word_never_reaches_vosk(word: str) -> None:
    graph = WordGraph(((0, "front", 1), (1, "x", 2)), 0, frozenset({2}))
    given = {"front": ("front",), "x": (word,)}
    with pytest.raises(ValueError, match="no word"):
        vosk_grammar(acceptor(graph), given, (), unknown=["[unk]"])


def test_every_word_of_the_shipped_profile_can_be_given() -> None:
    graph = word_graph(load_profile(), load_spoken())
    given = stand_ins(graph.words, set())
    assert len(vosk_grammar(acceptor(graph), given, (), unknown=["[unk]"]).phrases) > 1000
