"""Labels, positions, units and several readings in one breath."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood, ReadingSaid

UNDERSTOOD = {
    # label and position, in either order
    "guide front one oh two": ["guide_signal@front 102"],
    "front guide one oh two": ["guide_signal@front 102"],
    "guide signal rear sensor minus sixty five": ["guide_signal@rear -65"],
    "battery twelve point five zero": ["battery_voltage 12.50"],
    # a position alone means its own quantity, until the wire decides
    "front one oh two": ["loop_signal@front 102"],
    "guide loop signal front one oh two": ["guide_signal@front 102"],
    "loop signal guide front one oh two": ["guide_signal@front 102"],
    "guide wire front 102 rear 98": [
        "wire=guide",
        "guide_signal@front 102",
        "guide_signal@rear 98",
    ],
    "front 102 rear 98 guide": ["guide_signal@front 102", "guide_signal@rear 98", "wire=guide"],
    # a label carries on until another is said
    "guide front 102 rear minus 65": ["guide_signal@front 102", "guide_signal@rear -65"],
    "guide front 102 rear 98 boundary front 136": [
        "guide_signal@front 102",
        "guide_signal@rear 98",
        "boundary_signal@front 136",
    ],
    "guide front 102 battery 12.5 rear 98": [
        "guide_signal@front 102",
        "battery_voltage 12.5",
        "loop_signal@rear 98",
    ],
    # a position before its label is a heading, one after it is not
    "front guide 102 boundary 136": ["guide_signal@front 102", "boundary_signal@front 136"],
    "guide front 102 boundary 136": ["guide_signal@front 102", "boundary_signal 136"],
    "front 102 boundary 136": ["loop_signal@front 102", "boundary_signal 136"],
    # the longest phrase, and a shorter one where only that goes on
    "guide resistance two point five": ["guide_resistance 2.5"],
    "left wheel current one point two": ["wheel_current@left 1.2"],
    # units
    "battery twenty eight volts": ["battery_voltage 28 V"],
    "tilt two point one degrees": ["station_tilt 2.1 deg"],
    "ground temperature twelve degrees": ["ground_temperature 12 Cel"],
    "shift minus forty millimetres": ["wire_shift -40 mm"],
    # no number on the display
    "front no reading": ["loop_signal@front no_reading"],
    "boundary resistance off scale": ["boundary_resistance off_scale"],
    # bare numbers
    "one oh two": ["bare 102"],
    "minus point five": ["bare -0.5"],
    "twelve volts": ["bare 12 V"],
    "twelve degrees": ["bare 12"],
    "no reading": ["bare no_reading"],
    # the same number said twice
    "front one oh two i say again one oh two": ["loop_signal@front 102"],
    # fillers
    "the front sensor is one oh two and the rear reads ninety eight": [
        "loop_signal@front 102",
        "loop_signal@rear 98",
    ],
    "uh": [],
    "": [],
}

REFUSED = {
    "battery twelve amps": "not measured in amps",
    "guide front one oh two volts": "not measured in volts",
    "front battery twelve": "has no front",
    "left one point two": "“left” alone does not say of what: say the label with it",
    "left 102 correction front 103": "a label that was not said just before: say label and value",
    "front 102 correction": "nothing was said after the correction: say label and value again",
    "front one oh two docked ninety eight": "two numbers",
    "front one oh two no one oh three": "two numbers",
    "one oh two docked ninety eight": "two numbers",
    "front no one oh two": "no number",
    "front": "no number",
    "guide front": "no number",
    "front rear 98": "two labels",
    "guide battery twelve": "two labels",
    "front banana one oh two": "banana",
    "front one oh two banana": "banana",
    "guide front 102 rear 98 banana": "banana",
    "banana docked": "banana",
    "front not one oh two": "not",
    "front volts": "volts",
    "front minus": "begun and not said",
    "front negative": "begun and not said",
    "banana front apple": "“banana apple” has no meaning",
    "boundary resistance alfa": "“alfa” has no meaning",
    "guide front mower moved 102": "no number",
    "front minus docked": "minus",
    "front fifty sixty": "two pairs",
    "front twelve point": "after the point",
    "oh": "zero",
}


@pytest.mark.parametrize(("line", "expected"), UNDERSTOOD.items())
def test_readings_are_understood(parser: Parser, line: str, expected: list[str]) -> None:
    assert meaning(parser, line) == expected


@pytest.mark.parametrize(("line", "reason"), REFUSED.items())
def test_nothing_is_guessed_and_the_reason_is_told(parser: Parser, line: str, reason: str) -> None:
    (statement,) = parser.parse_text(line)
    assert isinstance(statement, NotUnderstood)
    assert reason in statement.reason
    assert statement.heard == line


def test_a_refused_number_leaves_its_neighbour_standing(parser: Parser) -> None:
    assert meaning(parser, "front fifty sixty rear 98") == ["??", "loop_signal@rear 98"]


def test_a_reading_holds_the_words_it_was_made_of(parser: Parser) -> None:
    front, rear, docked = parser.parse_text(
        "guide front is one oh two rear minus sixty five docked"
    )
    assert front.heard == "guide front one oh two"
    assert rear.heard == "rear minus sixty five"
    assert docked.heard == "docked"
    rear, blades, battery = parser.parse_text("rear 98 blades chipped battery 12.5")
    assert (rear.heard, blades.heard, battery.heard) == (
        "rear 98",
        "blades chipped",
        "battery 12.5",
    )


@pytest.mark.parametrize(
    ("line", "may_go_on"),
    [
        ("guide front sixty", True),
        ("guide front sixty seven", False),
        ("guide front sixty docked", False),
        ("battery fourteen", True),
        ("battery fourteen volts", False),
        ("battery fourteen point five", True),
        ("battery fourteen point five zero", False),
        ("battery no reading", False),
        ("fourteen", True),
    ],
)
def test_a_number_that_ends_the_utterance_may_go_on(
    parser: Parser, line: str, may_go_on: bool
) -> None:
    reading = parser.parse_text(line)[0]
    assert isinstance(reading, ReadingSaid)
    assert reading.value.may_go_on is may_go_on


def test_what_is_expected_tells_whether_a_bare_number_may_go_on(parser: Parser) -> None:
    (reading,) = parser.parse_text("twenty seven")
    assert isinstance(reading, ReadingSaid)
    assert parser.may_go_on(reading, "battery_voltage")
    assert not parser.may_go_on(reading, "guide_signal")  # whole numbers up to 999


@pytest.mark.parametrize(
    ("line", "may_go_on"),
    [
        ("front", True),
        ("guide front", True),
        ("front minus", True),
        ("battery twelve point", True),
        ("twelve point", True),
        ("guide twelve point", False),  # a whole number always
        ("front one hundred and", True),
        ("front one oh two correction", True),
        ("complaint", True),
        ("unit", True),
        ("blades", True),
        ("front fifty sixty", False),
        ("guide battery", False),
        ("front one oh two docked ninety eight", False),
        ("banana", False),
        ("battery twelve amps", False),
    ],
)
def test_what_was_broken_off_may_go_on(parser: Parser, line: str, may_go_on: bool) -> None:
    (statement,) = parser.parse_text(line)
    assert isinstance(statement, NotUnderstood)
    assert statement.may_go_on is may_go_on
