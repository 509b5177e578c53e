"""What the trade knows, asked of the shipped profile and the whole diagnosis.

Each is common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import fault_model
from assistant.diagnosis.next_check import next_checks
from assistant.profile import Profile, load_profile

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.diagnosis.conftest import Bench

SENSORS = ("front_sensor", "rear_sensor")
ALIGNMENT = ("station_off_level", "station_moved", "guide_wire_out_of_line")


@pytest.fixture(scope="module")
def job() -> Profile:
    return load_profile("robot_mower")


def chances(bench: Bench, job: Profile) -> dict[str, float]:
    return {c.cause: c.probability for c in diagnose(bench.session, job).causes}


def signals(bench: Bench, front: str, rear: str, station: str = "undocked") -> Bench:
    bench.read("guide_signal@front", front, station)
    return bench.read("guide_signal@rear", rear, station)


def test_sensors_that_agree_while_it_misses_to_one_side_leave_the_alignment(
    bench: Bench, job: Profile
) -> None:
    signals(bench, "98", "103").see("docking", "misses").see("miss_side", "always_left")
    found = chances(bench, job)
    worst = max(found[sensor] for sensor in SENSORS)
    assert all(found[cause] > worst for cause in ALIGNMENT)
    assert worst < 0.02


@pytest.mark.parametrize(("front", "rear"), [("181", "191"), ("98", "103"), ("100", "90")])
def test_no_sensor_is_blamed_where_both_agree(
    bench: Bench, job: Profile, front: str, rear: str
) -> None:
    signals(bench, front, rear)
    found = chances(bench, job)
    assert max(found[sensor] for sensor in SENSORS) < 0.02


def test_docked_values_blame_nothing(bench: Bench, job: Profile) -> None:
    signals(bench, "102", "-65", "docked")
    bench.read("boundary_signal@front", "136", "docked")
    bench.read("boundary_signal@rear", "-237", "docked")
    diagnosis = diagnose(bench.session, job)
    assert not [f for f in diagnosis.findings if f.flagged]
    assert diagnosis.causes[0].cause == "no_fault"


def test_the_same_values_undocked_are_a_fault(bench: Bench, job: Profile) -> None:
    signals(bench, "102", "-65")
    diagnosis = diagnose(bench.session, job)
    assert {f.rule for f in diagnosis.findings if f.verdict == "out"} == {"guide_signal_sign"}
    assert diagnosis.causes[0].cause == "rear_sensor"


def test_a_weak_front_is_looked_for_in_the_front_sensor(bench: Bench, job: Profile) -> None:
    signals(bench, "46", "98").read("boundary_signal@front", "50", "undocked")
    bench.read("boundary_signal@rear", "110", "undocked")
    assert diagnose(bench.session, job).causes[0].cause == "front_sensor"


def test_weak_on_both_sensors_is_a_guide_wire_out_of_line(bench: Bench, job: Profile) -> None:
    signals(bench, "46", "49").see("docking", "misses").see("miss_side", "always_right")
    bench.see("guide_path", "crooked")
    assert diagnose(bench.session, job).causes[0].cause == "guide_wire_out_of_line"


def test_a_loop_fault_with_an_open_loop_is_a_break(bench: Bench, job: Profile) -> None:
    bench.see("loop_fault", "steady").read("boundary_resistance", None, state="off_scale")
    diagnosis = diagnose(bench.session, job)
    assert diagnosis.causes[0].cause == "boundary_break"
    assert diagnosis.enough


def test_bright_contacts_and_a_sagging_supply_are_the_supply(bench: Bench, job: Profile) -> None:
    bench.see("charging", "never").see("contact_faces", "bright")
    bench.read("supply_voltage", "22.1", "loaded").read("supply_voltage", "25.0", "open")
    assert diagnose(bench.session, job).causes[0].cause == "supply"


def test_the_front_sensor_is_tried_before_the_rear_when_both_are_as_likely(job: Profile) -> None:
    model = fault_model(job)
    chosen = model.prior.copy()
    order = [c.check for c in next_checks(job, model, chosen, {}, {})]
    assert order.index("front_sensor_swap") < order.index("rear_sensor_swap")


def test_a_mower_that_misses_is_asked_about_station_and_signal_before_sensors(
    bench: Bench, job: Profile
) -> None:
    bench.see("docking", "misses").see("miss_side", "always_left")
    order = [c.check for c in diagnose(bench.session, job).next_checks]
    assert order.index("station_level") < order.index("guide_signals")
    assert order.index("guide_signals") < order.index("front_sensor_swap")


def test_every_complaint_gets_a_next_check_with_minutes(
    new_bench: Callable[[], Bench], job: Profile
) -> None:
    for item, value in [
        ("docking", "misses"),
        ("loop_fault", "comes_and_goes"),
        ("charging", "never"),
        ("miss_side", "always_right"),
    ]:
        checks = diagnose(new_bench().see(item, value).session, job).next_checks
        assert checks
        assert checks[0].minutes > 0
        assert checks[0].gain_bits > 0


def test_every_cause_of_the_profile_is_found_from_its_own_signs(job: Profile) -> None:
    """A cause, in each of its forms, whose likeliest signs all show, the rest of its signs
    unknown, comes first."""
    model = fault_model(job)
    for cause in job.cause:
        if cause.id == "not_listed":
            continue
        for shows in [{**cause.shows, **form.shows} for form in cause.form] or [cause.shows]:
            belief = model.posterior({sign: True for sign in shows if shows[sign] >= 0.5})
            best = max((c.id for c in job.cause), key=lambda name: model.marginal(belief, name))
            assert best == cause.id, (cause.id, shows)


def test_a_swap_that_cured_tells_of_the_old_sensor_and_is_no_new_fault(
    bench: Bench, job: Profile
) -> None:
    signals(bench, "71", "98")
    bench.read("guide_signal@front", "101", "undocked", "after")
    bench.read("guide_signal@rear", "98", "undocked", "after").see("front_swap", "cured")
    diagnosis = diagnose(bench.session, job)
    assert diagnosis.causes[0].cause == "front_sensor"
    assert [proof.outcome for proof in diagnosis.repairs] == ["gone"]
    assert diagnosis.proven
