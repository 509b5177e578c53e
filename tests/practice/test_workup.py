"""Checks carried out on simulated mowers, and what the whole diagnosis makes of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import NO_FAULT, fault_model, signs_seen
from assistant.practice.garden import Garden, healthy_garden
from assistant.practice.hidden_fault import hide
from assistant.practice.simulated_mower import SimulatedMower
from assistant.practice.workup import Mistakes, Workup
from assistant.profile import Profile, load_profile


@pytest.fixture(scope="module")
def job() -> Profile:
    return load_profile("robot_mower")


def workup(job: Profile, garden: Garden, seed: int = 1, **more: object) -> Workup:
    rng = np.random.default_rng(seed)
    return Workup(job, SimulatedMower(garden, rng, keen=1.0), rng, **more)  # type: ignore[arg-type]


def test_every_check_makes_known_the_signs_it_says_it_tells(job: Profile) -> None:
    """On a sound mower, so that no resistance is off the scale; rounding may leave a worked-out
    result undecided, which these do not."""
    for check in job.check:
        done = workup(job, Garden())
        done.carry_out(check)
        seen = signs_seen(job, diagnose(done.session, job).findings)
        assert set(check.tells) <= set(seen), check.id


def test_a_sound_mower_shows_no_sign(job: Profile) -> None:
    done = workup(job, Garden())
    for check in job.check:
        done.carry_out(check)
    diagnosis = diagnose(done.session, job)
    assert [f.reason for f in diagnosis.findings if f.flagged] == []
    assert diagnosis.causes[0].cause == NO_FAULT
    assert diagnosis.enough


@pytest.mark.parametrize(
    "fault",
    ["boundary_break", "front_sensor", "rear_sensor", "station_antenna", "guide_wire_out_of_line"],
)
def test_a_plain_fault_is_found_by_following_the_next_check(job: Profile, fault: str) -> None:
    """Five mowers each; four or more must be named right."""
    model, right = fault_model(job), 0
    checks = {check.id: check for check in job.check}
    for seed in range(5):
        rng = np.random.default_rng(seed)
        done = workup(job, hide(healthy_garden(rng), fault, rng), seed)
        for _ in range(20):
            diagnosis = diagnose(done.session, job, model)
            if diagnosis.enough or not diagnosis.next_checks:
                break
            done.carry_out(checks[diagnosis.next_checks[0].check])
        right += diagnosis.causes[0].cause == fault
    assert right >= 4


def test_mistakes_change_digits_and_contexts_as_often_as_asked(job: Profile) -> None:
    signals = next(check for check in job.check if check.id == "guide_signals")
    wrong = workup(job, Garden(), mistakes=Mistakes(digit=1.0, context=1.0))
    clean = workup(job, Garden())
    for done in (wrong, clean):
        done.carry_out(signals)
    assert {r.context["station"] for r in wrong.readings} == {"docked"}
    assert {r.context["station"] for r in clean.readings} == {"undocked"}
    assert all(r.value for r in wrong.readings)


def test_a_survey_ends_over_the_wire(job: Profile) -> None:
    done = workup(job, replace(Garden(), guide_offset=90.0))
    done.carry_out(next(check for check in job.check if check.id == "guide_field"))
    assert [r.value for r in done.readings if r.quantity == "wire_shift"][-1] == "0"
    findings = diagnose(done.session, job).findings
    assert any(f.rule == "guide_wire_offset" and f.flagged for f in findings)
