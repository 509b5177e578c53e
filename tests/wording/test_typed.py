"""Typed lines: figures, units, punctuation, capitals."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.hearing.heard import HeardWord
from assistant.wording.parser import Parser

SAME = {
    "Guide front 102, rear -65; docked.": "guide front one oh two rear minus sixty five docked",
    "front 102,rear −65": "front one oh two rear minus sixty five",
    "front 102 rear –65": "front one oh two rear minus sixty five",
    "battery .5": "battery zero point five",
    "battery (-.5)": "battery minus zero point five",
    "...battery 12.5 v": "battery twelve point five volts",
    "BATTERY 12.50 V": "battery twelve point five zero volts",
    "battery 12.50V": "battery twelve point five zero volts",
    "quality 100%": "quality one hundred percent",
    "quality 100 %": "quality one hundred percent",
    "charging current 1.2 A": "charging current one point two amps",
    "front sixty-five": "front sixty five",
    # the third reading was said between the two wires, however many hyphens stand before it
    "front sixty-five rear seventy-two guide what next front seventy-two boundary": (
        "front sixty five rear seventy two guide what next front seventy two boundary"
    ),
    "front: 102": "front one oh two",
    "(front) 102!": "front one oh two",
    "It's front 102": "front one oh two",
    "It’s front 102": "front one oh two",
}


@pytest.mark.parametrize(("typed", "spoken"), SAME.items())
def test_a_typed_line_means_what_its_words_mean(parser: Parser, typed: str, spoken: str) -> None:
    assert meaning(parser, typed) == meaning(parser, spoken)


@pytest.mark.parametrize(
    "line",
    [
        "front 1,200",
        "front 102-98",
        "front 12,5",
        "front 10 2",
        "front 1e3",
        "battery 12 Vx",
        "battery ..5",
    ],
)
def test_figures_with_two_meanings_are_refused(parser: Parser, line: str) -> None:
    assert meaning(parser, line) == ["??"]


def test_what_was_typed_is_kept_as_typed(parser: Parser) -> None:
    (reading,) = parser.parse_text("Battery 12.50V")
    assert reading.heard == "Battery 12.50V"
    assert (reading.start, reading.end, reading.confidence) == (0.0, 0.0, 1.0)


def test_heard_words_keep_their_times_and_the_weakest_confidence(parser: Parser) -> None:
    words = [
        HeardWord("front", 0.4, 0.7, 0.9),
        HeardWord("one", 0.8, 0.9, 0.6),
        HeardWord("twenty", 0.9, 1.3, 0.95),
        HeardWord("docked", 1.4, 1.8, 0.5),
    ]
    reading, docked = parser.parse(words)
    assert (reading.start, reading.end, reading.confidence) == (0.4, 1.3, 0.6)
    assert (docked.start, docked.confidence) == (1.4, 0.5)


def test_the_comma_between_two_readings_is_no_part_of_what_was_heard(parser: Parser) -> None:
    said = parser.parse_text("guide front eighty, rear 98, docked; note seal worn, but dry")
    heard = ["guide front eighty", "rear 98", "docked", "note seal worn, but dry"]
    assert [statement.heard for statement in said] == heard
