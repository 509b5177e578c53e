"""The simulated mower obeys physics, and each hidden fault shows where it should."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.errors import UnknownNameError
from assistant.practice.garden import Garden, healthy_garden
from assistant.practice.hidden_fault import FAULTS, OFF_THE_LIST, hide
from assistant.practice.simulated_mower import Display, SimulatedMower
from assistant.profile import load_profile

UNDOCKED, DOCKED = {"station": "undocked"}, {"station": "docked"}


def mower(seed: int = 1, **changed: object) -> SimulatedMower:
    return SimulatedMower(replace(Garden(), **changed), np.random.default_rng(seed))  # type: ignore[arg-type]


def number(shown: Display) -> float:
    assert shown.value is not None
    return float(shown.value)


def test_the_same_seed_shows_the_same_readings() -> None:
    once, again = (
        [mower(5).read("guide_signal", "front", UNDOCKED) for _ in range(5)] for _ in range(2)
    )
    assert once == again


def test_healthy_gardens_are_within_the_profiles_tolerances() -> None:
    for seed in range(100):
        rng = np.random.default_rng(seed)
        healthy = SimulatedMower(healthy_garden(rng), rng)
        front = number(healthy.read("guide_signal", "front", UNDOCKED))
        rear = number(healthy.read("guide_signal", "rear", UNDOCKED))
        assert front >= 67
        assert abs(front - rear) <= 15
        assert number(healthy.read("guide_signal", "rear", DOCKED)) < 0
        assert number(healthy.read("signal_quality", None, {})) == 100


def test_a_signal_falls_beside_the_wire_and_alike_on_both_sides() -> None:
    clean = mower()
    at = {
        shift: np.mean(
            [number(clean.read("guide_signal", "front", UNDOCKED, shift)) for _ in range(60)]
        )
        for shift in (-150, 0, 150)
    }
    assert at[-150] < at[0] > at[150]
    assert at[-150] == pytest.approx(at[150], rel=0.06)


def test_the_guides_current_comes_back_by_both_halves_and_a_break_leaves_one() -> None:
    """Kirchhoff: the two halves in parallel."""
    whole, broken = mower(), mower(boundary_broken=True)
    assert whole.guide_amps > broken.guide_amps > 0.5
    assert broken.boundary_amps < 1e-4
    assert whole.boundary_amps == pytest.approx(8 / (10 + whole.boundary_ohms))


def test_the_display_limits_its_gain() -> None:
    strong = mower(depth=15.0)
    assert 300 < number(strong.read("guide_signal", "front", UNDOCKED)) < 351


def test_charging_volts_and_amps_keep_ohms_law() -> None:
    for ohms in (0.1, 2.0, 8.0):
        m = mower(contact_ohms=ohms)
        at_supply, at_contacts, amps = m.charging
        g = m.garden
        assert g.supply_volts - at_supply == pytest.approx(amps * g.supply_ohms)
        assert at_supply - at_contacts == pytest.approx(amps * (g.cable_ohms + ohms))


def test_an_open_loop_is_off_the_meters_scale() -> None:
    assert mower(boundary_broken=True).read("boundary_resistance", None, {}) == Display(
        "off_scale", None
    )


@pytest.mark.parametrize("fault", FAULTS)
def test_every_fault_changes_the_garden_and_only_when_hidden(fault: str) -> None:
    rng = np.random.default_rng(2)
    garden = healthy_garden(rng)
    assert hide(garden, fault, rng) != garden


def test_the_faults_are_the_profiles_causes_and_three_off_the_list() -> None:
    causes = {cause.id for cause in load_profile("robot_mower").cause} - {"not_listed"}
    assert set(FAULTS) - set(OFF_THE_LIST) == causes


def test_an_unknown_fault_or_quantity_is_refused_with_what_there_is() -> None:
    rng = np.random.default_rng(0)
    with pytest.raises(UnknownNameError, match="there are: station_off_level"):
        hide(Garden(), "gremlins", rng)
    with pytest.raises(UnknownNameError, match="humidity"):
        mower().read("humidity", None, {})


def test_what_is_seen_is_a_choice_of_the_profile() -> None:
    job = load_profile("robot_mower")
    choices = {o.id: {c.id for c in o.choice} for o in job.observation if o.kind == "choice"}
    for fault in FAULTS:
        rng = np.random.default_rng(4)
        broken = SimulatedMower(hide(healthy_garden(rng), fault, rng), rng)
        for item, allowed in choices.items():
            seen = broken.look(item)
            assert seen is None or seen in allowed, (fault, item)
