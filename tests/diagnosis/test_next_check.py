"""The next check by information gained per minute."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import fault_model
from assistant.diagnosis.inference import entropy_bits
from assistant.diagnosis.next_check import next_checks
from assistant.profile import load_profile
from assistant.profile.schema import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


def test_with_equal_likelihood_the_front_sensor_is_checked_first(profile: Profile) -> None:
    """Common practice, no source: the front is quick to swap."""
    model = fault_model(profile)
    checks = next_checks(profile, model, model.prior, {}, {})
    ids = [check.check for check in checks]
    gains = {check.check: check.gain_bits for check in checks}
    assert gains["front_reading"] == pytest.approx(gains["rear_reading"])
    assert ids.index("front_reading") < ids.index("rear_reading")


def test_the_gain_is_the_expected_fall_of_entropy(profile: Profile) -> None:
    model = fault_model(profile)
    yes = model.present["misses_dock"]
    expected = entropy_bits(model.prior)
    for row in (yes, 1 - yes):
        chance = float((row * model.prior).sum())
        expected -= chance * entropy_bits(row * model.prior / chance)
    check = next(
        c for c in next_checks(profile, model, model.prior, {}, {}) if c.check == "watch_docking"
    )
    assert check.gain_bits == pytest.approx(expected)


def test_a_slow_check_falls_behind_a_quick_one_that_tells_less(profile: Profile) -> None:
    model = fault_model(profile)
    checks = next_checks(profile, model, model.prior, {}, {})
    assert checks[-1].check == "watch_docking"
    assert checks[-1].gain_bits > checks[0].gain_bits


def test_what_is_known_is_not_proposed_again(profile: Profile) -> None:
    model = fault_model(profile)
    seen = {"front_lower": False}
    checks = next_checks(profile, model, model.posterior(seen), seen, {})
    assert "front_reading" not in [check.check for check in checks]


def test_a_check_says_what_must_be_done_first_and_its_caution(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "102", "docked")
    check = next(
        c for c in diagnose(bench.session, profile).next_checks if c.check == "front_reading"
    )
    assert check.precondition == "drive the mower out of the station first"
    assert check.caution == "blades off"


def test_nothing_is_proposed_once_one_cause_is_beyond_doubt(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "20", "undocked").read("guide_signal@rear", "18", "undocked")
    bench.see("docking", "misses_left")
    diagnosis = diagnose(bench.session, profile)
    assert diagnosis.enough
    assert diagnosis.next_checks == ()
    assert "guide wire out of line" in diagnosis.verdict


def test_nothing_is_proposed_that_tells_less_than_it_is_worth(profile: Profile) -> None:
    model = fault_model(profile)
    certain = np.zeros(model.prior.size)
    certain[1] = 1.0
    assert next_checks(profile, model, certain, {}, {}) == ()


def test_the_gain_is_about_the_causes_and_not_about_their_forms() -> None:
    """The expected fall of the entropy of the shipped trade's sets of causes, worked out here."""
    profile = load_profile()
    model = fault_model(profile)
    free = profile.model_copy(
        update={"constants": {**profile.constants, "least_bits_per_minute": 0.0}}
    )
    told = {c.check: c.gain_bits for c in next_checks(free, model, model.prior, {}, {})}
    compared = 0
    for check in profile.check:
        known = [sign for sign in check.tells if sign in model.present]
        if len(known) != 1 or check.id not in told:
            continue
        yes = model.present[known[0]]
        expected = entropy_bits(model.faults @ model.prior)
        for row in (yes, 1 - yes):
            chance = float(row @ model.prior)
            expected -= chance * entropy_bits(model.faults @ (row * model.prior / chance))
        assert told[check.id] == pytest.approx(expected, abs=1e-9)
        compared += 1
    assert compared > 3


def test_checks_alike_in_worth_and_order_are_all_offered(profile: Profile) -> None:
    twin = profile.check[1].model_copy(update={"id": "twin"})
    profile = profile.model_copy(update={"check": (*profile.check, twin)})
    model = fault_model(profile)
    ids = [check.check for check in next_checks(profile, model, model.prior, {}, {})]
    assert ids[:3] == ["front_reading", "twin", "rear_reading"]


def test_what_comes_first_is_said_as_the_profile_says_it(profile: Profile) -> None:
    def first(needs: dict[str, str], context: dict[str, str]) -> str:
        check = profile.check[1].model_copy(update={"needs": needs})
        changed = profile.model_copy(update={"check": (check,)})
        model = fault_model(changed)
        return next_checks(changed, model, model.prior, {}, context)[0].precondition

    assert first({"station": "docked"}, {"station": "undocked"}) == "first: docked"
    assert first({"station": "docked"}, {}) == "first: docked"
    assert first({"station": "docked"}, {"station": "docked"}) == ""
    two = {"station": "docked", "load": "open"}
    assert first(two, {}) == "first: docked, first: open"
    assert first(two, {"station": "docked"}) == "first: open"
