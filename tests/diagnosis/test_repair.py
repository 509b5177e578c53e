"""Proof of a repair, and the safety release."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.causes import NO_FAULT
from assistant.diagnosis.finding import RepairProof
from assistant.profile.schema import Profile, Step

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


@pytest.fixture
def flagged(bench: Bench) -> Bench:
    bench.read("guide_signal@front", "40", "undocked", "before")
    return bench.read("guide_signal@rear", "44", "undocked", "before")


def outcomes(bench: Bench, profile: Profile) -> list[str]:
    return [proof.outcome for proof in diagnose(bench.session, profile).repairs]


def test_no_repair_said_no_proof(flagged: Bench, profile: Profile) -> None:
    assert outcomes(flagged, profile) == []
    assert not diagnose(flagged.session, profile).proven


def test_what_is_measured_again_and_fine_is_gone(flagged: Bench, profile: Profile) -> None:
    flagged.read("guide_signal@front", "101", "undocked", "after")
    flagged.read("guide_signal@rear", "98", "undocked", "after")
    diagnosis = diagnose(flagged.session, profile)
    assert [proof.outcome for proof in diagnosis.repairs] == ["gone", "gone"]
    assert diagnosis.proven
    assert diagnosis.causes[0].cause == "guide_wire_out_of_line"


def test_what_is_still_wrong_remains(flagged: Bench, profile: Profile) -> None:
    flagged.read("guide_signal@front", "50", "undocked", "after")
    flagged.read("guide_signal@rear", "98", "undocked", "after")
    assert outcomes(flagged, profile) == ["remains", "gone"]
    assert not diagnose(flagged.session, profile).proven


def test_what_was_measured_again_in_another_context_proves_nothing(
    flagged: Bench, profile: Profile
) -> None:
    flagged.read("guide_signal@front", "101", "docked", "after")
    flagged.read("guide_signal@rear", "98", "undocked", "after")
    assert outcomes(flagged, profile) == ["not_measured", "gone"]
    assert not diagnose(flagged.session, profile).proven


def test_a_new_fault_after_the_repair_spoils_the_proof(flagged: Bench, profile: Profile) -> None:
    flagged.read("guide_signal@front", "101", "undocked", "after")
    flagged.read("guide_signal@rear", "80", "undocked", "after")
    diagnosis = diagnose(flagged.session, profile)
    assert [proof.outcome for proof in diagnosis.repairs] == ["gone", "gone"]
    assert not diagnosis.proven


def test_what_was_seen_before_is_proven_by_seeing_it_again(bench: Bench, profile: Profile) -> None:
    bench.see("docking", "misses_left").read("guide_signal@front", "101", "undocked", "after")
    assert outcomes(bench, profile) == ["not_measured"]
    bench.see("docking", "straight")
    assert outcomes(bench, profile) == ["gone"]


def test_ready_for_use_needs_the_safety_release(flagged: Bench, profile: Profile) -> None:
    flagged.read("guide_signal@front", "101", "undocked", "after")
    flagged.read("guide_signal@rear", "98", "undocked", "after")
    before = diagnose(flagged.session, profile)
    assert not before.ready_for_use
    assert before.release_missing == ("stop button",)
    flagged.see("stop_button", "works")
    assert diagnose(flagged.session, profile).ready_for_use


def test_a_failed_release_is_not_ready(bench: Bench, profile: Profile) -> None:
    bench.see("stop_button", "fails")
    assert not diagnose(bench.session, profile).ready_for_use


def test_what_was_not_measured_again_still_stands_in_the_way(
    flagged: Bench, profile: Profile
) -> None:
    """The same rule, passed by the rear sensor alone, does not clear the front."""
    flagged.read("guide_signal@rear", "98", "undocked", "after").see("stop_button", "works")
    assert outcomes(flagged, profile) == ["not_measured", "gone"]
    assert not diagnose(flagged.session, profile).ready_for_use


def test_a_release_from_before_the_repair_does_not_count(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "40", "undocked", "before").see("stop_button", "works")
    bench.read("guide_signal@front", "101", "undocked", "after")
    assert diagnose(bench.session, profile).release_missing
    bench.see("stop_button", "works")
    assert diagnose(bench.session, profile).ready_for_use


def test_a_repair_that_failed_is_diagnosed_from_how_things_stand(
    bench: Bench, profile: Profile
) -> None:
    """Both were weak before; the front is weak still, and the rear is well."""
    bench.read("guide_signal@front", "40", "undocked", "before")
    bench.read("guide_signal@rear", "44", "undocked", "before")
    bench.read("guide_signal@front", "48", "undocked", "after")
    bench.read("guide_signal@rear", "101", "undocked", "after")
    assert diagnose(bench.session, profile).causes[0].cause == "front_sensor"


def test_a_step_of_the_release_is_done_by_its_own_reading_in_its_own_context(
    bench: Bench, profile: Profile
) -> None:
    step = {"take": "guide_signal@rear", "say": "read the rear", "when": {"station": "undocked"}}
    release = profile.round[0].model_copy(update={"step": (Step.model_validate(step),)})
    profile = profile.model_copy(update={"round": (release,)})
    bench.read("guide_signal@rear", "-65", "docked").read("guide_signal@front", "98", "undocked")
    assert diagnose(bench.session, profile).release_missing == ("guide signal rear",)
    bench.read("guide_signal@rear", "98", "undocked", status="asked")
    assert diagnose(bench.session, profile).release_missing == ("guide signal rear",)
    bench.read("guide_signal@rear", "98", "undocked")
    assert diagnose(bench.session, profile).release_missing == ()
    anywhere = step | {"take": "guide_signal"}
    release = release.model_copy(update={"step": (Step.model_validate(anywhere),)})
    profile = profile.model_copy(update={"round": (release,)})
    assert diagnose(bench.session, profile).release_missing == ()


def test_a_proof_says_what_became_of_it_with_the_readings_before_and_after(
    new_bench: Callable[[], Bench], profile: Profile
) -> None:
    def proof(*after: str) -> RepairProof:
        bench = new_bench().read("battery_voltage", "17")
        for value in after:
            bench.read("battery_voltage", value, "after")
        bench.read("guide_signal@front", "98", "undocked", "after")
        (told,) = diagnose(bench.session, profile).repairs
        return told

    low = "battery voltage 17 volts: below the limit 18 volts; five cells"
    assert proof() == RepairProof(
        "battery_rested",
        "not_measured",
        ("1",),
        f"not measured again since the repair. Before: {low}",
    )
    assert proof("19") == RepairProof(
        "battery_rested",
        "gone",
        ("1", "2"),
        "gone: battery voltage 19 volts, after: within limits (18 to 21 volts). Before: " + low,
    )
    assert proof("16") == RepairProof(
        "battery_rested",
        "remains",
        ("1", "2"),
        "remains: battery voltage 16 volts, after: below the limit 18 volts; five cells",
    )


def test_a_limit_that_holds_in_every_context_is_proven_in_the_same_one(
    bench: Bench, profile: Profile
) -> None:
    rule = profile.tolerance[0].model_copy(update={"quantity": "boundary_signal", "when": {}})
    profile = profile.model_copy(update={"tolerance": (rule,)})
    bench.read("boundary_signal@front", "20", "undocked")
    bench.read("boundary_signal@front", "98", "docked", "after")
    assert outcomes(bench, profile) == ["not_measured"]
    bench.read("boundary_signal@front", "98", "undocked", "after")
    assert outcomes(bench, profile) == ["gone"]


def test_one_thing_still_wrong_is_a_repair_that_failed(bench: Bench, profile: Profile) -> None:
    """Both signals were weak; one is well now, and what explains the other is asked for anew."""
    bench.read("guide_signal@front", "40", "undocked").read("battery_voltage", "19")
    bench.read("battery_voltage", "17", "after").read(
        "guide_signal@front", "98", "undocked", "after"
    )
    told = diagnose(bench.session, profile)
    floor = next(s for s in profile.sign if s.id == "weak_guide").title
    assert not any(floor in reason for c in told.causes for reason in c.reasons_for)
    assert told.causes[0].cause == NO_FAULT
    assert not told.proven
