"""Repeats, before against after, and a mower over its visits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np
import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.finding import Finding
from assistant.diagnosis.history import Visit, technicians, trend, visits
from assistant.errors import NotDeterminedError
from assistant.profile import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


def found(bench: Bench, profile: Profile, rule: str) -> list[Finding]:
    return [f for f in diagnose(bench.session, profile).findings if f.rule == rule]


def test_repeats_give_mean_interval_and_scatter(bench: Bench, profile: Profile) -> None:
    for value in ("101", "103", "102"):
        bench.read("guide_signal@front", value, "undocked")
    (finding,) = found(bench, profile, "repeats")
    assert finding.verdict == "ok"
    assert "read 3 times: mean 102 (95 % sure: 99.5 to 104), scatter 1.0" in finding.reason


def test_one_that_stands_apart_is_to_be_taken_again(bench: Bench, profile: Profile) -> None:
    for value in ("101", "103", "102", "102", "46"):
        bench.read("guide_signal@front", value, "undocked")
    (finding,) = found(bench, profile, "repeats")
    assert finding.verdict == "unknown"
    assert "46 stands apart" in finding.reason


def test_what_lies_within_two_steps_of_the_display_does_not_stand_apart(
    new_bench: Callable[[], Bench], profile: Profile
) -> None:
    """Of three readings two of which are alike the third is 1.1547 deviations off, more than the
    1.1543 of Grubbs' table, however near it lies (worked out here)."""

    def verdict(*values: str) -> str:
        bench = new_bench()
        for value in values:
            bench.read("battery_voltage", value)
        (finding,) = found(bench, profile, "repeats")
        return finding.verdict

    assert verdict("19.1", "19.2", "19.1") == verdict("19.3", "19.1", "19.1") == "ok"
    assert verdict("19.4", "19.1", "19.1") == verdict("19", "19.1", "20.5", "19.1") == "unknown"


def test_every_label_is_told_word_for_word(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@rear", "98", "undocked")
    for value in ("102", "102", "102"):
        bench.read("guide_signal@front", value, "undocked")
    for value in ("19.1", "19.0", "19.2"):
        bench.read("battery_voltage", value)
    for value in ("-101", "-103", "-102", "-102", "-46"):
        bench.read("boundary_signal@front", value, "undocked")
    alike, volts, apart = found(bench, profile, "repeats")
    assert (alike.verdict, alike.about) == ("ok", ("2", "3", "4"))
    assert alike.reason == (
        "guide signal front, undocked read 3 times: mean 102 (95 % sure: 102 to 102), scatter 0, "
        "all alike"
    )
    assert (volts.verdict, volts.about) == ("ok", ("5", "6", "7"))
    assert volts.reason == (
        "battery voltage read 3 times: mean 19.1 volts (95 % sure: 18.9 to 19.3), scatter 0.10 "
        "volts; none stands apart"
    )
    assert (apart.verdict, apart.about) == ("unknown", ("8", "9", "10", "11", "12"))
    assert apart.reason.endswith(
        "; −46 stands apart from the rest (Grubbs' test, 5 %): take it again"
    )


def test_every_change_is_told_word_for_word(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@rear", "98", "undocked")
    for side in ("before", "after"):
        values = ("60", "61", "62") if side == "before" else ("102", "101")
        for value in values:
            bench.read("guide_signal@front", value, "undocked", side)
        bench.read("battery_voltage", "19.5" if side == "before" else "18.25", side)
        for _ in range(2):
            bench.read("signal_quality", "100" if side == "before" else "99", side)
    guide, battery, quality = found(bench, profile, "before_after")
    assert guide.reason == (
        "guide signal front, undocked: 60, 61, 62 before, 102, 101 after the repair: 40.5 more "
        "(95 % sure: 38.0 to 43.0)"
    )
    assert (guide.verdict, guide.about) == ("ok", ("2", "3", "4", "8", "9"))
    assert battery.reason == (
        "battery voltage: 19.5 volts before, 18.25 volts after the repair: 1.25 volts less"
    )
    assert quality.reason == (
        "signal quality: 100, 100 percent before, 99, 99 percent after the repair: 1 percent less"
    )


def test_readings_of_two_contexts_are_no_repeats(bench: Bench, profile: Profile) -> None:
    for context in ("docked", "undocked", "docked"):
        bench.read("guide_signal@front", "101", context)
    assert found(bench, profile, "repeats") == []


def test_before_and_after_are_compared_with_how_sure_it_is(bench: Bench, profile: Profile) -> None:
    for value, side in [("60", "before"), ("62", "before"), ("101", "after"), ("104", "after")]:
        bench.read("guide_signal@front", value, "undocked", side)
    (finding,) = found(bench, profile, "before_after")
    assert "60, 62 before, 101, 104 after the repair: 41.5 more (95 % sure: " in finding.reason


def test_single_readings_are_compared_without_an_interval(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "60", "undocked")
    bench.read("guide_signal@front", "101", "undocked", "after")
    (finding,) = found(bench, profile, "before_after")
    assert finding.reason.endswith("the repair: 41 more")


def test_a_value_as_before_the_repair_is_called_no_change(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@rear", "-98", "undocked")
    bench.read("guide_signal@rear", "-98", "undocked", "after")
    (finding,) = found(bench, profile, "before_after")
    assert finding.reason.endswith("−98 before, −98 after the repair: no change")


def test_a_mower_that_begins_to_drift_is_told_over_its_visits(
    new_bench: Callable[[], Bench],
) -> None:
    values = [102, 101, 103, 102, 101, 96, 92, 88]
    sessions = [
        replace(
            new_bench().read("guide_signal@front", str(value), "undocked").session,
            id=f"v{i}",
            opened=f"203{i}-05-04",
        )
        for i, value in enumerate(values)
    ]
    come = visits(reversed(sessions), "guide_signal", "front", {"station": "undocked"})
    assert [visit.mean for visit in come] == values
    assert [(visit.session, visit.opened) for visit in come[:2]] == [
        ("v0", "2030-05-04"),
        ("v1", "2031-05-04"),
    ]
    steady, moving = trend(come[:5]), trend(come)
    assert not steady.moved
    assert steady.average is None
    assert steady.visits == come[:5]
    assert moving.moved
    assert moving.average is not None
    # centre and scatter (√0.7) from the first five; 3 deviations of so few are 6.62 by table G.2 of
    # JCGM 100 (99.73 %, 4 degrees), and their mean is uncertain itself: √(1 + 1.7 / 1.5)
    reach = 6.62 * sqrt(0.7) * sqrt(1 + 1.7 / 1.5) * sqrt(0.3 / 1.7)
    assert moving.average.centre == pytest.approx(101.8)
    assert moving.average.upper == pytest.approx(101.8 + reach, abs=2e-3)
    assert moving.average.points[0] == pytest.approx(0.7 * 101.8 + 0.3 * 96)
    assert len(moving.average.points) == 3
    with pytest.raises(NotDeterminedError, match="three visits"):
        trend(come[:2])


def test_a_steady_mower_is_seldom_said_to_have_moved() -> None:
    """400 mowers of ten visits, normal scatter, seed 5: measured 20 alarms, 19 of them from the
    value and range charts, whose limits come from the same ten visits."""
    rng, alarms = np.random.default_rng(5), 0
    for _ in range(400):
        values = rng.normal(100, 3, 10)
        come = [Visit(str(i), str(i), "QA", (float(v),)) for i, v in enumerate(values)]
        told = trend(come)
        alarms += told.moved
    assert alarms <= 40


def test_what_was_read_after_a_repair_or_beside_the_wire_is_no_visit(bench: Bench) -> None:
    bench.read("guide_signal@front", "101", "undocked", "after")
    bench.read("wire_shift", "80", "undocked").read("guide_signal@front", "40", "undocked")
    assert visits([bench.session], "guide_signal", "front") == ()


def test_technicians_are_told_from_repeats(new_bench: Callable[[], Bench]) -> None:
    def by(who: str, *values: str) -> object:
        bench = new_bench()
        for value in values:
            bench.read("guide_signal@front", value, "undocked")
        return replace(bench.session, who=who, opened=who)

    sessions = [by("QA", "100", "101", "102"), by("RB", "110", "111", "112")]
    gauge = technicians(visits(sessions, "guide_signal", "front"))  # type: ignore[arg-type]
    assert gauge.repeatability == pytest.approx(1.0)
    assert gauge.between_technicians > 6
    two = [by("QA", "100", "102"), by("RB", "110", "112")]
    few = technicians(visits(two, "guide_signal", "front"))  # type: ignore[arg-type]
    assert few.repeatability == pytest.approx(sqrt(2))
    with pytest.raises(NotDeterminedError, match="twice or more"):
        technicians(visits([two[0], by("RB", "1")], "guide_signal", "front"))  # type: ignore[list-item]
    with pytest.raises(NotDeterminedError, match="twice or more"):
        technicians(visits([by("QA", "100")], "guide_signal", "front"))  # type: ignore[list-item]


def test_a_visits_number_is_the_mean_of_what_was_read_over_the_wire(bench: Bench) -> None:
    bench.read("guide_signal@front", "101", "undocked").read("wire_shift", "0", "undocked")
    bench.read("guide_signal@front", "104", "undocked").read("wire_shift", "1", "undocked")
    bench.read("guide_signal@front", "40", "undocked")
    (visit,) = visits([bench.session], "guide_signal", "front")
    assert (visit.values, visit.mean) == ((101.0, 104.0), 102.5)


def test_first_visits_that_are_all_alike_teach_no_scatter() -> None:
    come = [Visit(str(i), str(i), "QA", (100.0 if i < 5 else 101.0,)) for i in range(7)]
    assert trend(come).average is None


def test_half_a_count_more_is_more(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "60", "undocked")
    bench.read("guide_signal@front", "60", "undocked", "after")
    bench.read("guide_signal@front", "61", "undocked", "after")
    (finding,) = found(bench, profile, "before_after")
    assert finding.reason.endswith("the repair: 0.5 more")
