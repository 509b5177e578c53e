"""A second number after one label: said again, or in another context; anything else is refused."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood, ReadingSaid

HELD = {
    "front 102 docked rear 98 undocked 97": [
        "loop_signal@front 102 ?station",
        "station=docked",
        "loop_signal@rear 98 station=docked",
        "station=undocked",
        "loop_signal@rear 97 station=undocked",
    ],
    # no context changed between the two numbers
    "docked undocked front 102 98": ["station=docked", "station=undocked", "??"],
    "docked undocked front one oh two is ninety": ["station=docked", "station=undocked", "??"],
    "docked front 102 after repair 98": ["station=docked", "??"],
    "front 102 docked undocked 98": ["??"],
    "open contact voltage 28 docked loaded 24": ["load=open", "??"],
    "mower moved front 102 docked 98": ["station=", "load=", "??"],
    "front one oh two is ninety": ["??"],
    # the unit says that it is another number, even of the same value
    "battery twelve volts thirteen": ["??"],
    "battery twelve i say again twelve volts": ["??"],
}


@pytest.mark.parametrize(("line", "expected"), HELD.items())
def test_a_label_holds_for_a_second_number_only_in_another_context(
    parser: Parser, line: str, expected: list[str]
) -> None:
    assert meaning(parser, line) == expected


def test_a_number_said_again_keeps_both_sayings_and_may_still_go_on(parser: Parser) -> None:
    (again,) = parser.parse_text("front sixty i say again sixty")
    assert isinstance(again, ReadingSaid)
    assert again.heard == "front sixty sixty"
    assert again.value.may_go_on
    (over, _) = parser.parse_text("front sixty i say again sixty docked")
    assert isinstance(over, ReadingSaid)
    assert not over.value.may_go_on


def test_what_came_before_two_numbers_stands(parser: Parser) -> None:
    docked, told = parser.parse_text("docked front 102 is ninety")
    assert (docked.heard, told.heard) == ("docked", "front 102 ninety")


INCOMPLETE = {
    "blade screws": "one of these after “blade screws”: tight, loose, worn, missing",
    "complaint": "nothing was said after “complaint”",
    "unit": "its letters and figures, one by one",
    "fault code": "say letters and figures, one by one, after “fault code”",
    "start round": "the name of a round",
    "disregard front 102": "the command alone, then the reading",
}


@pytest.mark.parametrize(("line", "reason"), INCOMPLETE.items())
def test_what_lacks_its_other_half_is_told_with_its_words(
    parser: Parser, line: str, reason: str
) -> None:
    (told,) = parser.parse_text(line)
    assert isinstance(told, NotUnderstood)
    assert told.heard == line
    assert reason in told.reason
    assert told.may_go_on == (line != "disregard front 102")


def test_a_position_of_no_quantity_of_its_own_stands_alone_in_a_command(parser: Parser) -> None:
    assert meaning(parser, "disregard left") == ["!disregard @left"]


@pytest.mark.parametrize(
    ("said", "quantity", "more"),
    [
        ("sixty", "guide_signal", True),
        ("sixty", "battery_voltage", False),
        ("twelve", "battery_voltage", True),
        ("sixty five", "guide_signal", False),
        ("sixty docked", "guide_signal", False),
        ("12.5V", "battery_voltage", False),
        ("Sixty,", "guide_signal", True),
        ("60", "guide_signal", False),
        ("60", "battery_voltage", False),
    ],
)
def test_a_bare_number_may_go_on_as_the_quantity_expected_allows(
    parser: Parser, said: str, quantity: str, more: bool
) -> None:
    reading = parser.parse_text(said)[0]
    assert isinstance(reading, ReadingSaid)
    assert parser.may_go_on(reading, quantity) == more


def test_a_context_heard_doubtfully_is_told_so(parser: Parser) -> None:
    (told,) = parser.parse_text("and docked")
    assert isinstance(told, NotUnderstood)
    assert told.reason == "“and docked” has two meanings: say it again"
    assert told.heard == "and docked"


@pytest.mark.parametrize("line", ["front what next", "front blade screws tight"])
def test_a_label_that_something_else_follows_waits_for_no_number(parser: Parser, line: str) -> None:
    label = parser.parse_text(line)[0]
    assert isinstance(label, NotUnderstood)
    assert label.reason == "no number was said after this label"
    assert not label.may_go_on
    (alone,) = parser.parse_text("front")
    assert isinstance(alone, NotUnderstood)
    assert alone.may_go_on
