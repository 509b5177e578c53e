"""Rules on worked-out numbers, with the shipped profile of the job."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.diagnose import findings_of
from assistant.diagnosis.finding import Finding
from assistant.diagnosis.survey import surveys
from assistant.profile import Profile, load_profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


@pytest.fixture(scope="module")
def job() -> Profile:
    return load_profile("robot_mower")


def only(bench: Bench, job: Profile, rule: str) -> Finding:
    (finding,) = [f for f in findings_of(bench.session, job) if f.rule == rule]
    return finding


def loop(bench: Bench, ohms: str | None, **more: str) -> Bench:
    bench.read("boundary_length", "250").read("conductor_area", "1.5").read("lead_zero", "0.2")
    return bench.read("boundary_resistance", ohms, **more)


@pytest.mark.parametrize(
    ("ohms", "verdict", "words"),
    [
        ("3.1", "ok", "plausible"),
        ("3.8", "ok", "IEC 60228 allows 3.3 at the most, and this is more"),
        ("6.5", "suspect", "a bad joint"),
        ("0.9", "suspect", "a short cut"),
    ],
)
def test_a_loop_is_judged_against_its_own_wire(
    bench: Bench, job: Profile, ohms: str, verdict: str, words: str
) -> None:
    finding = only(loop(bench, ohms), job, "boundary_joint")
    assert finding.verdict == verdict
    assert words in finding.reason
    assert "2.9 ohms that 250 m of 1.5 mm² should have" in finding.reason
    assert "IEC 60228 allows 3.3" in finding.reason
    assert "assuming 20 °C, copper" in finding.reason


def test_an_open_loop_is_out_and_compared_with_nothing(bench: Bench, job: Profile) -> None:
    loop(bench, None, state="off_scale")
    assert only(bench, job, "boundary_open").verdict == "out"
    assert not [f for f in findings_of(bench.session, job) if f.rule == "boundary_joint"]


def test_a_loop_without_its_length_says_so(bench: Bench, job: Profile) -> None:
    finding = only(bench.read("boundary_resistance", "3.1"), job, "boundary_joint")
    assert finding.verdict == "unknown"
    assert "length" in finding.reason
    assert "not taken yet" in finding.reason


def test_the_wires_length_need_not_be_taken_again_after_the_repair(
    bench: Bench, job: Profile
) -> None:
    loop(bench, "6.5").read("boundary_resistance", "3.0", "after")
    proofs = {p.rule: p.outcome for p in diagnose(bench.session, job).repairs}
    assert proofs["boundary_joint"] == "gone"


def test_worn_contacts_show_in_their_resistance(bench: Bench, job: Profile) -> None:
    bench.read("contact_voltage", "28.4", "open")
    waiting = only(bench, job, "contact_resistance")
    assert waiting.verdict == "unknown"
    assert "loaded and charging current not taken yet" in waiting.reason
    bench.read("contact_voltage", "25.0", "loaded").read("charging_current", "1.20")
    finding = only(bench, job, "contact_resistance")
    assert finding.verdict == "suspect"
    assert "2.8 ohms (2.8 to 2.9)" in finding.reason


def test_what_the_meter_cannot_tell_is_not_judged(bench: Bench, job: Profile) -> None:
    """1.1 Ω ± 0.7 against a limit of 1: too coarse to say."""
    bench.read("contact_voltage", "28", "open").read("contact_voltage", "27", "loaded")
    finding = only(bench.read("charging_current", "0.9"), job, "contact_resistance")
    assert finding.verdict == "unknown"
    assert "not sure enough" in finding.reason


def test_the_cutting_height_is_held_against_the_dial(bench: Bench, job: Profile) -> None:
    bench.read("set_height", "40").read("measured_height", "48")
    finding = only(bench, job, "cutting_height")
    assert finding.verdict == "suspect"
    assert finding.about == ("2", "1")


def survey(bench: Bench, sensor: str, offset: float) -> Bench:
    for shift in range(-150, 151, 50):
        signal = 120 / (1 + ((shift - offset) / 110) ** 2)
        bench.read("wire_shift", str(shift), "undocked")
        bench.read(f"guide_signal@{sensor}", str(round(signal)), "undocked")
    return bench


def test_a_guide_wire_out_of_line_is_found_with_how_far_and_which_way(
    bench: Bench, job: Profile
) -> None:
    survey(bench, "front", 80)
    finding = only(bench, job, "guide_wire_offset")
    assert finding.verdict == "suspect"
    assert "move the wire 80 mm to the left, or the station 80 mm to the right" in finding.reason
    assert len(finding.about) == 7
    assert "gain-controlled" in only(bench, job, "wire_fit").reason


def test_both_sensors_give_the_angle_of_approach(bench: Bench, job: Profile) -> None:
    survey(survey(bench, "front", 40), "rear", 0)
    angle = np.degrees(np.arctan2(40, job.constants["sensor_spacing_mm"]))
    assert f"{angle:.1f}° to the right ahead" in only(bench, job, "approach_angle").reason


def test_too_few_shifts_say_what_to_measure(bench: Bench, job: Profile) -> None:
    for shift in (0, 40):
        bench.read("wire_shift", str(shift), "undocked")
        bench.read("guide_signal@front", "80", "undocked")
    finding = only(bench, job, "guide_wire_offset")
    assert finding.verdict == "unknown"
    assert "at least 5 are needed" in finding.reason


def test_a_shift_said_before_the_repair_does_not_reach_beyond_it(
    bench: Bench, job: Profile
) -> None:
    survey(bench, "front", 80).read("guide_signal@front", "60", "undocked", "after")
    (found,) = surveys(bench.session, job)
    assert len(found.ids) == 7
    assert [f.verdict for f in findings_of(bench.session, job) if f.rule == "guide_signal_floor"]


def test_the_place_to_open_a_broken_wire_next_is_told(bench: Bench, job: Profile) -> None:
    bench.read("wire_whole_until", "40").read("wire_broken_within", "120")
    finding = only(bench, job, "wire_break")
    assert "measure next at 80.0 m; halving 6 times more" in finding.reason
    bench.read("wire_broken_within", "41")
    assert "dig there" in only(bench, job, "wire_break").reason
    bench.read("wire_broken_within", "30")
    assert only(bench, job, "wire_break").verdict == "unknown"


@pytest.mark.parametrize(("volts", "verdict"), [("18.2", "ok"), ("24.6", "suspect")])
def test_a_voltage_that_fits_other_cells_is_told(
    bench: Bench, job: Profile, volts: str, verdict: str
) -> None:
    assert only(bench.read("battery_voltage", volts), job, "battery_cells").verdict == verdict


def test_charging_time_is_told(bench: Bench, job: Profile) -> None:
    bench.read("charging_current", "1.2").read("battery_capacity", "1.9")
    assert "100 minutes" in only(bench, job, "charging_time").reason
