"""Numbers, limits and contexts in words."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis.reasons import (
    context_words,
    number_words,
    position_words,
    range_words,
    reading_words,
    title_of,
)
from assistant.profile.schema import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


@pytest.mark.parametrize(
    ("number", "figures", "words"),
    [
        (0.0, 2, "0"),
        (0.84, 2, "0.84"),
        (0.0999, 2, "0.10"),
        (0.0994, 2, "0.099"),
        (9.96, 2, "10"),
        (99.6, 3, "99.6"),
        (99.96, 3, "100"),
        (128.0, 2, "130"),
        (-27.4, 2, "−27"),
        (inf, 2, "without limit"),
    ],
)
def test_a_number_has_so_many_figures_and_no_power_of_ten(
    number: float, figures: int, words: str
) -> None:
    assert number_words(number, figures) == words


def test_a_range_names_the_limits_that_there_are() -> None:
    assert range_words(67, 200) == "67 to 200"
    assert range_words(67, None) == "at least 67"
    assert range_words(None, 0.5) == "at most 0.5"
    assert range_words(None, None) == "none set"


def test_a_reading_is_told_with_its_label_place_unit_and_the_words_heard(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "-65", heard="guide front minus sixty five")
    bench.read("battery_voltage", "19").read("rotor_wear", None, state="off_scale")
    front, battery, wear = bench.readings
    assert reading_words(profile, front) == (
        'guide signal front −65 (heard "guide front minus sixty five")'
    )
    assert position_words(profile, front) == 'front −65 (heard "guide front minus sixty five")'
    assert position_words(profile, battery) == "battery voltage 19 volts"
    assert reading_words(profile, wear) == "rotor_wear off scale"


def test_a_context_is_told_as_the_profile_first_says_it(profile: Profile) -> None:
    value = profile.context[0].value[1].model_copy(update={"spoken": ("out of the station",)})
    context = profile.context[0].model_copy(update={"value": (value,)})
    profile = profile.model_copy(update={"context": (context,)})
    known = {"station": "undocked", "load": "open"}
    assert context_words(profile, known) == "out of the station, open"
    assert context_words(profile, {"station": "docked"}) == "docked"
    assert title_of(profile, "unheard_of") == "unheard_of"
