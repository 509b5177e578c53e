"""A value said before its label: "one oh two on the front guide"."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from said import meaning

from assistant.profile import load_profile, load_spoken
from assistant.wording.parser import Parser

PARSER = Parser(load_profile(), load_spoken())

UNDERSTOOD = {
    "one oh two on the front guide": ["guide_signal@front 102"],
    "minus 65 on rear guide docked": ["guide_signal@rear -65 station=docked", "station=docked"],
    "102 on the front guide and 98 on the rear": ["guide_signal@front 102", "guide_signal@rear 98"],
    "no reading on the rear": ["loop_signal@rear no_reading"],
    "off scale on the boundary resistance": ["boundary_resistance off_scale"],
    "29 volts on the contacts open": ["contact_voltage 29 V load=open", "load=open"],
    "1.2 amps on left wheel current": ["wheel_current@left 1.2 A"],
    "98 on the guide wire loop signal rear": ["wire=guide", "guide_signal@rear 98"],
    # a label that waits for the value keeps it
    "guide front 102 on rear 98": ["guide_signal@front 102", "guide_signal@rear 98"],
    "guide front docked 102 on rear 98": [
        "station=docked",
        "guide_signal@front 102 station=docked",
        "guide_signal@rear 98 station=docked",
    ],
    # and so does one that is said before the next value
    "102 on front guide 98": ["bare 102", "guide_signal@front 98"],
    "102 on front 98 on rear": ["loop_signal@front 102", "loop_signal@rear 98"],
    # words of a note and figures of a name stay where they were said
    "note 102 on the front": ["note: 102 on the front"],
}


@pytest.mark.parametrize(("line", "expected"), UNDERSTOOD.items())
def test_the_value_before_on_belongs_to_the_label_behind_it(line: str, expected: list[str]) -> None:
    assert meaning(PARSER, line) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("102 on", ["bare 102"]),
        ("102 on docked", ["bare 102 ?station", "??"]),
        ("front 102 on", ["loop_signal@front 102"]),
    ],
)
def test_on_by_itself_joins_nothing(line: str, expected: list[str]) -> None:
    assert meaning(PARSER, line) == expected


@given(
    st.integers(-999, 999),
    st.sampled_from(["front", "rear", "front guide", "boundary rear", "guide wire front"]),
    st.sampled_from(["", " docked", " undocked"]),
)
def test_either_order_means_the_same(value: int, label: str, context: str) -> None:
    behind = meaning(PARSER, f"{label} {value}{context}")
    assert "??" not in behind
    assert sorted(meaning(PARSER, f"{value} on the {label}{context}")) == sorted(behind)
