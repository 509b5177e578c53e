"""A label as it is written on a command line."""

from __future__ import annotations

import pytest

from assistant.errors import UnknownNameError
from assistant.profile import load_profile
from assistant.profile.label import read_label


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("guide_signal@front", ("guide_signal", "front")),
        ("guide_signal", ("guide_signal", None)),
        ("battery_voltage@", ("battery_voltage", None)),
    ],
)
def test_quantity_and_position_stand_on_either_side_of_the_at(
    text: str, label: tuple[str, str | None]
) -> None:
    assert read_label(text, load_profile()) == label


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("gide_signal", "There is no quantity 'gide_signal'. The nearest: guide_signal,"),
        ("xyzzy", "There is no quantity 'xyzzy'. There are: loop_signal, guide_signal,"),
        ("guide_signal@left", "guide_signal has no position 'left'; it has: front, rear."),
        ("battery_voltage@front", "it has: none: leave the @ and what follows out."),
    ],
)
def test_what_there_is_not_is_refused_with_what_there_is(text: str, told: str) -> None:
    with pytest.raises(UnknownNameError) as refused:
        read_label(text, load_profile())
    assert told in str(refused.value)
