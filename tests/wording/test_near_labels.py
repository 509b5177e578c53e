"""A label word a letter wrong is understood; numbers, contexts and commands never by likeness."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.wording.near_labels import NearLabels
from assistant.wording.parser import Parser


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("gide front 102", "guide_signal@front 102"),
        ("guide frontt 102", "guide_signal@front 102"),
        ("batery 12.5", "battery_voltage 12.5"),
        ("boundry rear 98", "boundary_signal@rear 98"),
        ("signal qualiti 100", "signal_quality 100"),
        ("tillt 2.1", "station_tilt 2.1"),
    ],
)
def test_a_label_a_letter_wrong_is_understood(parser: Parser, line: str, expected: str) -> None:
    assert meaning(parser, line) == [expected]
    assert parser.parse_text(line)[0].heard == line


@pytest.mark.parametrize(
    "line",
    [
        "front sixtty",
        "front sevn",
        "front ninty",
        "dockd front 102",
        "front 102 undockd",
        "correctin front 102",
        "afirm",
        "rea 98",
        "front1 102",
    ],
)
def test_nothing_else_is_matched_by_likeness(parser: Parser, line: str) -> None:
    assert meaning(parser, line) == ["??"]


def test_between_two_near_labels_none_is_chosen() -> None:
    near = NearLabels(["meter", "metal"], ["meter", "metal"])
    assert near.meant("metel") is None
    assert near.meant("meterr") == "meter"


def test_a_word_as_near_to_a_number_is_left_alone() -> None:
    assert NearLabels(["tension"], ["tension", "tensions"]).meant("tensiom") is None
    assert NearLabels(["sevens"], ["sevens", "seven"]).meant("sevenss") is None
