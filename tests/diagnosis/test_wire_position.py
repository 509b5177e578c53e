"""The wire's place from sideways shifts, with intervals that hold what they promise."""

from __future__ import annotations

from typing import Literal

import numpy as np
import pytest
from scipy import stats

from assistant.diagnosis.estimate import Estimate
from assistant.diagnosis.field import field_of_long_wire
from assistant.diagnosis.wire_position import (
    DISPLAY_WARNING,
    Approach,
    WirePosition,
    _best_fit,
    _signal,
    _slope,
    angle_of_approach,
    approach_in_words,
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
    assert (found.axis, found.freedom) == (axis, SHIFTS.size - 3)
    assert found.worst == pytest.approx(0, abs=1e-4)
    assert found.curve(SHIFTS) == pytest.approx(signals(axis, SHIFTS, offset, 120), abs=1e-3)


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
    # the offsets' half widths side by side, at the slope of the arc tangent
    half = np.hypot(at(30).offset.half_width, at(-10).offset.half_width)
    slope = 400 / (400**2 + 40**2)
    assert approach.angle.half_width == pytest.approx(np.degrees(half * slope), rel=1e-3)
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
    assert found.worst > 20


def test_a_wire_beside_all_readings_says_to_which_side_to_go_on() -> None:
    for offset, side in ((300, "right"), (-300, "left")):
        with pytest.raises(NotDeterminedError) as told:
            locate_wire(SHIFTS, np.round(signals("horizontal", SHIFTS, offset, 110)), "horizontal")
        assert str(told.value) == (
            f"All readings lie on one side of the wire: it is further {side}. Shift the mower to "
            f"the {side} until the signal has passed its turning point, and read on both sides."
        )


def test_shifts_that_are_too_small_say_how_far_to_go() -> None:
    x = np.array([-20.0, -10, 0, 10, 20])
    with pytest.raises(NotDeterminedError) as told:
        locate_wire(x, signals("horizontal", x, 2, 90, 40), "horizontal")
    assert str(told.value) == (
        "The shifts are too small for so deep a wire (they reach 18 mm past it): depth and "
        "strength can't be told apart. Read again out to 100 mm on either side."
    )
    x = 4 * x
    with pytest.raises(NotDeterminedError, match="Read again out to 160 mm on either side"):
        locate_wire(x, signals("horizontal", x, 2, 300, 10), "horizontal")


def place(offset: float, half: float, depth: float = 110) -> WirePosition:
    return WirePosition(
        Estimate(offset, half), Estimate(depth, 2), Estimate(80, 1), 0.1, 0.2, 4, "horizontal"
    )


@pytest.mark.parametrize(
    ("offset", "half", "words"),
    [
        (23, 2, "23 mm right of the middle (95 % sure: 21 to 25 mm), 110 mm under the sensor"),
        (-23, 2, "23 mm left of the middle (95 % sure: 21 to 25 mm), 110 mm under the sensor"),
        (1, 3, "1 mm right of the middle (95 % sure: 2 mm left to 4 mm right), 110 mm under the"),
        (-1, 3, "1 mm left of the middle (95 % sure: 4 mm left to 2 mm right), 110 mm under the"),
    ],
)
def test_the_wires_place_is_told_with_side_and_interval(
    offset: float, half: float, words: str
) -> None:
    told = position_in_words(place(offset, half))
    assert told.startswith(f"the wire lies {words}")
    unproven = ": no sideways error is proven" if half > abs(offset) else ""
    assert told.endswith(f" (give or take 2){unproven}")


@pytest.mark.parametrize(
    ("angle", "half", "words"),
    [
        (5.7, 0.2, "5.7° to the right ahead, against the mower's middle line (95 % sure: 5.5° to"),
        (-5.7, 0.2, "5.7° to the left ahead, against the mower's middle line (95 % sure: 5.5° to"),
        (0.5, 0.7, "along the mower's middle line, to within 1.2° (95 % sure)"),
        (-0.5, 0.7, "along the mower's middle line, to within 1.2° (95 % sure)"),
        (0.7, 0.2, "0.7° to the right ahead, against the mower's middle line (95 % sure: 0.5° to"),
    ],
)
def test_the_way_the_wire_runs_is_told_with_its_side(angle: float, half: float, words: str) -> None:
    told = approach_in_words(Approach(Estimate(angle, half)))
    assert told.startswith(f"the wire runs {words}")
    if "ahead" in told:
        assert told.endswith(f" {abs(angle) + half:.1f}°)")


def test_what_to_move_goes_the_other_way_on_the_other_side() -> None:
    assert move_in_words(place(-23, 2)) == (
        "move the wire 23 mm to the right, or the station 23 mm to the left"
    )
    assert move_in_words(place(1, 2)).startswith("move the wire 1 mm to the left")


@pytest.mark.parametrize(
    ("peak", "off", "misses", "doubted"),
    [(120, 15, 11.5, False), (120, 20, 15.4, True), (12, 2.4, 1.8, False), (12, 3, 2.3, True)],
)
def test_a_miss_counts_from_a_tenth_of_the_signal_and_two_steps_of_the_display(
    peak: float, off: float, misses: float, doubted: bool
) -> None:
    y = signals("horizontal", SHIFTS, 0, 110)
    y *= peak / y.max()
    y[3] += off
    found = locate_wire(SHIFTS, y, "horizontal")
    assert found.worst == pytest.approx(misses, abs=0.1)
    assert bool(found.doubt) is doubted


@pytest.mark.parametrize(
    ("read", "offset", "depth"),
    [
        (
            "-260 38 -240 42 -230 43 -190 43 -180 39 -110 35 100 -1 120 -7 150 -14",
            92,
            337,
        ),
        ("-260 16 50 -21 100 -23 210 -23 300 -22", -140, 303),
    ],
)
def test_the_better_of_two_beginnings_is_kept(read: str, offset: float, depth: float) -> None:
    """Noisy surveys of a vertical coil, found by trying 250 at random: begun at a quarter of the
    reach alone the fit stays in another valley, with more than forty times the squares."""
    rows = np.array(read.split(), dtype=float).reshape(-1, 2)
    fit = _best_fit("vertical", rows[:, 0], rows[:, 1])
    assert fit.values[:2] == pytest.approx([offset, depth], abs=1)
    assert fit.rss < 25


def test_the_order_in_which_shifts_were_taken_changes_nothing() -> None:
    mixed = np.array([5, 0, 12, 3, 9, 1, 7, 11, 2, 10, 4, 8, 6])
    y = np.round(signals("vertical", SHIFTS, 30, 110))
    there = locate_wire(SHIFTS, y, "vertical")
    back = locate_wire(SHIFTS[mixed], y[mixed], "vertical")
    assert back.offset.value == pytest.approx(there.offset.value, abs=1e-4)
    assert back.depth.value == pytest.approx(there.depth.value, abs=1e-4)


def test_a_strong_signal_must_change_by_a_twentieth() -> None:
    """A wire 900 mm deep: 500 counts that fall by 14 to either side."""
    with pytest.raises(NotDeterminedError, match="hardly changes over these shifts"):
        locate_wire(SHIFTS, 500 / (1 + (SHIFTS / 900) ** 2), "horizontal")


def test_how_far_the_readings_reach_is_measured_from_the_wire() -> None:
    """10 mm to either side of a wire 40 mm deep, however far beside the mower's middle it lies."""
    x = np.array([120.0, 125, 130, 135, 140])
    strong = 1e6 / (1 + ((x - 130) / 40) ** 2)
    with pytest.raises(NotDeterminedError, match="too small for so deep a wire"):
        locate_wire(x, strong, "horizontal")
