"""Where the wire lies, from a survey entered as a technician does: a shift, then a signal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis.diagnose import findings_of
from assistant.diagnosis.finding import Finding
from assistant.diagnosis.survey import surveys
from assistant.diagnosis.wire_position import DISPLAY_WARNING
from assistant.profile import load_profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench

JOB = load_profile("robot_mower")
DEPOT = "this depot's fleet, common practice, no source"
RULES = ("guide_wire_offset", "wire_fit", "approach_angle")
SHIFTS = range(-150, 151, 50)
FRONT = tuple(str(number) for number in range(2, 15, 2))
REAR = tuple(str(number) for number in range(16, 29, 2))


def survey(
    bench: Bench,
    sensor: str,
    offset: float,
    shifts: Iterable[int] = SHIFTS,
    odd: dict[int, float] | None = None,
    where: str = "undocked",
) -> Bench:
    """A wire 110 mm under the sensor that shows 120 over it; ``odd`` is added at those shifts."""
    for shift in shifts:
        signal = 120 / (1 + ((shift - offset) / 110) ** 2) + (odd or {}).get(shift, 0)
        bench.read("wire_shift", str(shift), where)
        bench.read(f"guide_signal@{sensor}", str(round(signal)), where)
    return bench


def told(bench: Bench, **constants: float) -> list[Finding]:
    profile = JOB.model_copy(update={"constants": {**JOB.constants, **constants}})
    return [found for found in findings_of(bench.session, profile) if found.rule in RULES]


def test_a_survey_says_place_sureness_verdict_and_what_to_move(bench: Bench) -> None:
    offset, fit = told(survey(bench, "front", -80))
    assert offset.reason == (
        "guide wire beside its marked line: front sensor, the wire lies 80 mm left of the middle "
        "(95 % sure: 79 to 81 mm), 109 mm under the sensor (give or take 1): move the wire 80 mm "
        "to the right, or the station 80 mm to the left; beyond the limits (−50 to 50 mm); the "
        "guide wire lies beside the line the station points along"
    )
    assert (offset.verdict, offset.about, offset.source) == ("suspect", FRONT, DEPOT)
    assert (fit.rule, fit.verdict, fit.about) == ("wire_fit", "ok", FRONT)
    assert fit.reason == DISPLAY_WARNING


def test_a_curve_that_does_not_fit_is_doubted_with_where(bench: Bench) -> None:
    offset, doubt, fit = told(survey(bench, "front", 20, odd={100: 40}))
    assert offset.verdict == "unknown"
    assert offset.reason.endswith("; not sure enough to judge against −50 to 50 mm: measure again")
    assert (doubt.rule, doubt.verdict, doubt.about) == ("wire_fit", "unknown", FRONT)
    assert doubt.reason == (
        "front sensor, the readings don't follow one straight wire (at shift 100 mm the curve "
        "misses by 21): another wire is near, or a reading is wrong"
    )
    assert fit.verdict == "ok"


def test_both_sensors_say_how_the_wire_runs(bench: Bench) -> None:
    survey(survey(bench, "front", 0), "rear", 40)
    *_, fit, approach = told(bench)
    assert (fit.about, approach.about) == (FRONT + REAR, FRONT + REAR)
    assert approach.reason == (
        "the wire runs 5.7° to the left ahead, against the mower's middle line (95 % sure: 5.5° to "
        "5.8°)"
    )
    assert (approach.rule, approach.verdict, approach.source) == ("approach_angle", "ok", DEPOT)
    assert [f.rule for f in told(bench, sensor_spacing_mm=0)][-1] == "wire_fit"
    bare = {k: v for k, v in JOB.constants.items() if k != "sensor_spacing_mm"}
    found = findings_of(bench.session, JOB.model_copy(update={"constants": bare}))
    assert not [f for f in found if f.rule == "approach_angle"]


def test_a_sensor_with_too_few_shifts_says_so_and_the_other_is_judged(bench: Bench) -> None:
    survey(survey(bench, "front", 0, shifts=(0, 40)), "rear", 0)
    front, rear, fit = told(bench)
    assert front.reason == (
        "guide wire beside its marked line: front sensor, The signal was read at 2 shifts; at "
        "least 5 are needed. Shift the mower to both sides of the wire and read at each."
    )
    assert (front.verdict, front.about) == ("unknown", ("2", "4"))
    assert rear.reason.startswith("guide wire beside its marked line: rear sensor, the wire lies 0")
    assert (rear.verdict, fit.about) == ("ok", ("2", "4", *rear.about))


def test_one_shift_is_no_survey_and_keeps_no_other_from_being_one(bench: Bench) -> None:
    survey(survey(bench, "front", 0, shifts=(0,)), "rear", 30, odd={-150: -33})
    (rear,) = surveys(bench.session, JOB)
    assert (rear.place.position, rear.shifts) == ("rear", tuple(SHIFTS))
    assert rear.signals == (0, 50, 78, 112, 116, 85, 55)
    assert (rear.found is None, rear.refusal) == (False, "")


def test_a_survey_taken_docked_is_none_of_the_rules(bench: Bench) -> None:
    assert told(survey(bench, "front", -80, where="docked")) == []


def test_a_signal_that_hardly_changes_is_no_wire_under_the_mower(bench: Bench) -> None:
    flat = {shift: 120 - 120 / (1 + (shift / 110) ** 2) for shift in SHIFTS}
    (refused,) = told(survey(bench, "front", 0, odd=flat | {150: 120 - 41.9 + 2}))
    assert refused.reason.endswith(
        "The signal hardly changes over these shifts (by 2). Shift further to both sides; if it "
        "stays as flat, this is not the field of a wire under the mower."
    )


def test_without_the_way_the_coil_lies_nothing_is_fitted(bench: Bench) -> None:
    survey(bench, "front", 0)
    for axis in (1.0, -1.0, 45.0):
        (refused,) = told(bench, sensor_coil_axis_degrees=axis)
        assert refused.verdict == "unknown"
        assert refused.reason.endswith(
            "How the sensor's coil lies is not known: set sensor_coil_axis_degrees in the profile "
            "(0 horizontal, 90 vertical), after seeing whether the signal peaks over the wire."
        )


def test_a_coil_that_stands_upright_is_fitted_by_its_own_curve(bench: Bench) -> None:
    for shift in range(-150, 151, 50):
        u = (shift - 30) / 110
        bench.read("wire_shift", str(shift), "undocked")
        bench.read("guide_signal@front", str(round(-200 * u / (1 + u * u))), "undocked")
    offset, _ = told(bench, sensor_coil_axis_degrees=90)
    assert offset.verdict == "ok"
    assert offset.reason.startswith(
        "guide wire beside its marked line: front sensor, the wire lies 30 mm right of the middle"
    )


@pytest.mark.parametrize("peak", [60, 2])
def test_a_signal_must_change_by_more_than_the_display_rounds(bench: Bench, peak: int) -> None:
    for shift in SHIFTS:
        bench.read("wire_shift", str(shift), "undocked")
        signal = round(peak / (1 + (shift / 110) ** 2))
        bench.read("guide_signal@front", str(signal), "undocked")
    assert [f.verdict for f in told(bench)] == (["ok", "ok"] if peak == 60 else ["unknown"])
