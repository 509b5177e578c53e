"""The graph of what may be said, and the parser, agree."""

from __future__ import annotations

import random

import pytest

from assistant.profile import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.profile.word_graph import WordGraph
from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood

DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]


@pytest.fixture(scope="module")
def graph() -> WordGraph:
    return word_graph(load_profile(), load_spoken())


def walks(graph: WordGraph, number: int, seed: int) -> list[str]:
    """Random whole paths; each step is as likely as any other from its state."""
    chance = random.Random(seed)
    steps: dict[int, list[tuple[str, int]]] = {}
    for source, word, target in graph.arcs:
        steps.setdefault(source, []).append((word, target))
    said = []
    for _ in range(number):
        state, words = graph.start, []
        while state not in graph.finals or (steps.get(state) and chance.random() < 0.5):
            word, state = chance.choice(steps[state])
            if word:
                words.append(word)
        said.append(" ".join(words))
    return said


def test_whatever_the_graph_says_the_parser_understands(graph: WordGraph) -> None:
    parser = Parser(load_profile(), load_spoken())
    for line in walks(graph, 5000, seed=1):
        statements = parser.parse_text(line)
        assert statements, line
        assert not any(isinstance(one, NotUnderstood) for one in statements), line


@pytest.mark.parametrize(
    "line",
    [
        "guide front one oh two rear minus sixty five docked",
        "front one oh two and rear minus sixty five",
        "front guide two thirty seven",
        "guide wire front one hundred and two",
        "guide loop signal front a hundred",
        "front one oh two correction one twenty",
        "correction undocked",
        "correction front one twenty",
        "battery twelve point five zero volts",
        "battery twenty seven and a half",
        "battery oh point eight",
        "contact voltage open twenty eight point one loaded twenty four",
        "guide front docked one oh two",
        "front no reading",
        "one thousand two hundred",
        "twelve hundred and fifty",
        "double four",
        "negative niner fife",
        "guide",
        "the front guide reads one oh two and the rear is minus sixty five docked",
        "contact voltage open is twenty eight point one",
        "guide rear shows no reading",
        "the blades are chipped the blade screws are tight",
        "the mower is docked",
        "one oh two on the front guide and minus sixty five on the rear docked",
        "no reading on the rear",
        "front one oh four rear one oh one boundary undocked",
        "mower moved",
        "unit alfa one two",
        "disregard guide front",
        "disregard blade screws",
        "disregard homing misses",
        "start round sensors",
        "blades chipped blade screws tight",
        "note",
        "say again",
    ],
)
def test_what_people_say_is_in_the_graph(graph: WordGraph, line: str) -> None:
    assert graph.accepts(line.split())


@pytest.mark.parametrize(
    "line",
    [
        "",
        "front",
        "front fifty sixty",
        "battery twelve point",
        "front minus",
        "oh",
        "one two three four five",
        "guide front one oh two point five",  # its display shows no decimals
        "battery front twelve",
        "one oh two front",
        "the one oh two",
        "is one oh two",
        "banana",
    ],
)
def test_what_means_nothing_is_not_in_the_graph(graph: WordGraph, line: str) -> None:
    assert not graph.accepts(line.split())


def test_every_integer_of_four_digits_is_in_the_graph(graph: WordGraph) -> None:
    for n in range(0, 10_000, 37):
        digits = [DIGITS[int(digit)] for digit in str(n)]
        assert graph.accepts(["guide", "front", "minus", *digits]), digits


def test_the_graph_is_small_enough_to_decode_with(graph: WordGraph) -> None:
    assert len(graph.arcs) < 30_000
    assert len(graph.words) < 500
