"""The wire's place from sideways shifts, with intervals that hold what they promise."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest
from scipy import stats

from assistant.diagnosis.field import field_of_long_wire
from assistant.diagnosis.wire_position import (
    DISPLAY_WARNING,
    WirePosition,
    _signal,
    _slope,
    angle_of_approach,
    locate_wire,
    move_in_words,
    position_in_words,
)
from assistant.errors import NotDeterminedError

Axis = Literal["horizontal", "vertical"]
AXES: tuple[Axis, Axis] = ("horizontal", "vertical")
SHIFTS = np.arange(-150, 151, 25.0)


def signals(
    axis: Axis, shifts: np.ndarray, offset: float, depth: float, gain: float = 2.0
) -> np.ndarray:
    """Counts by the field itself, 0.25 A, the gain in counts a nanotesla."""
    field = field_of_long_wire(0.25, (shifts - offset) / 1000, depth / 1000)
    return field.along(axis) * 1e9 * gain / 10


@pytest.mark.parametrize("axis", AXES)
@pytest.mark.parametrize("offset", [-60, 0, 23])
def test_exact_signals_give_the_place_back(axis: Axis, offset: float) -> None:
    found = locate_wire(SHIFTS, signals(axis, SHIFTS, offset, 120), axis)
    assert found.offset.value == pytest.approx(offset, abs=1e-4)
    assert found.depth.value == pytest.approx(120, rel=1e-5)
    peak = field_of_long_wire(0.25, 0, 0.12).x * 1e9 / 5
    assert found.strength.value == pytest.approx(float(peak), rel=1e-5)
    assert found.spread < 1e-4


@pytest.mark.parametrize("axis", AXES)
def test_a_current_the_other_way_gives_a_negative_strength(axis: Axis) -> None:
    found = locate_wire(SHIFTS, -signals(axis, SHIFTS, 10, 120), axis)
    assert found.strength.value < 0
    assert found.offset.value == pytest.approx(10, abs=1e-4)


@pytest.mark.parametrize("axis", AXES)
def test_the_jacobian_is_the_slope(axis: Axis) -> None:
    p = np.array([12.0, 110.0, 80.0])
    for i in range(3):
        step = np.zeros(3)
        step[i] = 1e-4
        rise = (_signal(axis, SHIFTS, p + step) - _signal(axis, SHIFTS, p - step)) / 2e-4
        assert _slope(axis, SHIFTS, p)[:, i] == pytest.approx(rise, rel=1e-6, abs=1e-8)


@pytest.mark.parametrize("axis", AXES)
def test_the_95_percent_intervals_cover_95_percent(axis: Axis) -> None:
    """250 surveys, seed 7, normal noise of 2 counts. The bounds are those within which a true
    coverage of 95 % falls 999 times in 1,000."""
    surveys, rng = 250, np.random.default_rng(7)
    true = signals(axis, SHIFTS, 18, 110)
    held = np.zeros(2)
    for _ in range(surveys):
        noisy = true + rng.normal(0, 2, true.size)
        found = locate_wire(SHIFTS, noisy, axis, resolution=1e-9)
        for i, (estimate, truth) in enumerate([(found.offset, 18), (found.depth, 110)]):
            held[i] += abs(estimate.value - truth) <= estimate.half_width
    assert (held >= stats.binom.ppf(0.0005, surveys, 0.95)).all(), held
    assert (held <= stats.binom.ppf(0.9995, surveys, 0.95)).all(), held


def test_rounded_readings_are_never_surer_than_their_resolution() -> None:
    exact = signals("horizontal", SHIFTS, 18, 110)
    found = locate_wire(SHIFTS, exact, "horizontal")
    assert found.offset.half_width > 0.1


@pytest.mark.parametrize(
    ("shifts", "message"),
    [
        ([-100, -50, 50, 100], "at least 5"),
        ([-100, -100, 0, 0, 100, 100], "at least 5"),
        ([80, 100, 120, 140, 160, 180], "one side"),
        ([-20, -10, 0, 10, 20], "too small|hardly changes"),
        ([-2, -1, 0, 1, 2], "hardly changes|one side"),
    ],
)
@pytest.mark.parametrize("axis", AXES)
def test_readings_that_do_not_determine_it_are_refused(
    axis: Axis, shifts: list[float], message: str
) -> None:
    x = np.array(shifts, dtype=float)
    with pytest.raises(NotDeterminedError, match=message):
        locate_wire(x, np.round(signals(axis, x, 5, 150, 4)), axis)


def test_twenty_millimetres_leave_depth_and_strength_inseparable_even_without_noise() -> None:
    x = np.array([-20.0, -10, 0, 10, 20])
    with pytest.raises(NotDeterminedError, match="can't be told apart"):
        locate_wire(x, signals("horizontal", x, 2, 90, 40), "horizontal")


def test_an_undecided_coil_axis_is_refused_with_what_to_set() -> None:
    with pytest.raises(NotDeterminedError, match="sensor_coil_axis_degrees"):
        locate_wire(SHIFTS, signals("horizontal", SHIFTS, 0, 100), None)


def test_the_angle_comes_from_both_sensors() -> None:
    def at(offset: float) -> WirePosition:
        return locate_wire(SHIFTS, signals("horizontal", SHIFTS, offset, 110), "horizontal")

    approach = angle_of_approach(at(30), at(-10), 400)
    assert approach.angle.value == pytest.approx(np.degrees(np.arctan2(40, 400)), abs=1e-4)
    assert 0 < approach.angle.half_width < 2
    with pytest.raises(NotDeterminedError, match="sensor_spacing_mm"):
        angle_of_approach(at(30), at(-10), 0)


def test_the_words_say_how_far_and_which_way() -> None:
    found = locate_wire(SHIFTS, np.round(signals("horizontal", SHIFTS, 23, 110)), "horizontal")
    words = position_in_words(found)
    assert "23 mm right" in words
    assert (
        move_in_words(found) == "move the wire 23 mm to the left, or the station 23 mm to the right"
    )
    assert found.doubt == ""
    assert "gain-controlled" in DISPLAY_WARNING
    centred = locate_wire(SHIFTS, np.round(signals("horizontal", SHIFTS, 0, 110)), "horizontal")
    assert "no sideways error is proven" in position_in_words(centred)


def test_readings_that_no_single_wire_explains_are_warned_of() -> None:
    y = signals("horizontal", SHIFTS, 0, 110)
    y[3] += 60
    found = locate_wire(SHIFTS, y, "horizontal")
    assert "don't follow one straight wire" in found.doubt
