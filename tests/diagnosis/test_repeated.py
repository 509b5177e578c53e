"""Repeats, before against after, and a mower over its visits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
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
    steady, moving = trend(come[:5]), trend(come)
    assert not steady.moved
    assert moving.moved
    assert moving.average is not None
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
    with pytest.raises(NotDeterminedError, match="twice or more"):
        technicians(visits([by("QA", "100")], "guide_signal", "front"))  # type: ignore[list-item]
