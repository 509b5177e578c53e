"""What is worked out from several readings, word for word, with the readings it rests on.

The arithmetic: 17.241 nΩ·m (annealed copper, IEC 60028) × 250 m / 1.5 mm² = 2.87 Ω; of flexible
copper of 1.5 mm² IEC 60228 allows 13.3 Ω/km at 20 °C, 3.3 Ω here. Limits are the depot's, common
practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis import diagnose
from assistant.diagnosis.diagnose import findings_of
from assistant.profile import load_profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench

JOB = load_profile("robot_mower")
DEPOT = "this depot's fleet, common practice, no source"
IEC = f"IEC 60228 gives the maximum of the bare conductor; the margin for splices is {DEPOT}"
ARITHMETIC = "arithmetic on common practice, no source"
SOURCES = {
    "boundary_joint": IEC,
    "guide_joint": IEC,
    "contact_resistance": DEPOT,
    "cutting_height": DEPOT,
    "wire_break": "",
    "battery_cells": ARITHMETIC,
    "charging_time": ARITHMETIC,
}
LOOP = "boundary_length 250, conductor_area 1.5, boundary_resistance"
SHOULD = "2.9 ohms that 250 m of 1.5 mm² should have"
ASSUMING = "assuming 20 °C, no lead zero, copper"
JOINT = (
    "beyond the limits (0.7 to 1.3); much more than the wire itself has sits in a joint; much less "
    "is a short cut across the loop"
)

WORKED_OUT: list[tuple[str, str, str, str, str]] = [
    (
        "boundary_resistance 3.1",
        "boundary_joint",
        "unknown",
        "1",
        "boundary resistance 3.1 ohms: boundary length and conductor area not taken yet",
    ),
    (
        "boundary_length 0, conductor_area 1.5, boundary_resistance 3.1",
        "boundary_joint",
        "unknown",
        "3 1 2",
        "boundary resistance 3.1 ohms: boundary length not taken yet",
    ),
    (
        f"{LOOP} 3.1",
        "boundary_joint",
        "ok",
        "3 1 2",
        f"boundary resistance 3.1 ohms is 1.1 times the {SHOULD} (IEC 60228 allows 3.3), "
        f"{ASSUMING}: plausible; within the limits (0.7 to 1.3)",
    ),
    (
        f"{LOOP} 6.5",
        "boundary_joint",
        "suspect",
        "3 1 2",
        f"boundary resistance 6.5 ohms is 2.3 times the {SHOULD} (IEC 60228 allows 3.3 at the "
        f"most, and this is more), {ASSUMING}: a bad joint, or more wire than was said; {JOINT}",
    ),
    (
        f"{LOOP} 0.9",
        "boundary_joint",
        "suspect",
        "3 1 2",
        f"boundary resistance 0.9 ohms is 0.31 times the {SHOULD} (IEC 60228 allows 3.3), "
        f"{ASSUMING}: a short cut across the wire, or less wire than was said; {JOINT}",
    ),
    (  # 2.87 Ω / 0.63 × (1 − 0.00393 × 20) = 4.20 Ω; the clad wire's share from memory
        "ground_temperature 0, lead_zero 0.2, conductor_material=copper_clad_aluminium, "
        f"{LOOP} 4.6",
        "boundary_joint",
        "ok",
        "6 4 5 1 2",
        "boundary resistance 4.6 ohms is 1.0 times the 4.2 ohms that 250 m of 1.5 mm² should "
        "have: plausible; within the limits (0.7 to 1.3)",
    ),
    (  # 20 °C is assumed, not more: 17.241e-9 × 1000 / 1.5e-6 = 11.494 Ω
        "boundary_length 1000, conductor_area 1.5, boundary_resistance 12",
        "boundary_joint",
        "ok",
        "3 1 2",
        "boundary resistance 12 ohms is 1.0 times the 11 ohms that 1000 m of 1.5 mm² should have "
        f"(IEC 60228 allows 13), {ASSUMING}: plausible; within the limits (0.7 to 1.3)",
    ),
    (  # a long thin wire is not open: 17.241e-9 × 5000 / 0.75e-6 = 115 Ω
        "guide_length 5000, conductor_area 0.75, guide_resistance 120",
        "guide_joint",
        "ok",
        "3 1 2",
        "guide resistance 120 ohms is 1.0 times the 110 ohms that 5000 m of 0.75 mm² should have "
        f"(IEC 60228 allows 130), {ASSUMING}: plausible; within the limits (0.7 to 1.3)",
    ),
    (
        "contact_voltage 28.4 loaded",
        "contact_resistance",
        "unknown",
        "1",
        "contact voltage open and charging current not taken yet",
    ),
    (
        "contact_voltage 28.4 open, contact_voltage 28.4 loaded, charging_current 1.20",
        "contact_resistance",
        "ok",
        "1 2 3",
        "0 ohms (0 to 0.068) from contact voltage 28.4 volts; contact voltage 28.4 volts; charging "
        "current 1.20 amps; within the limits (at most 1 Ohm)",
    ),
    (
        "contact_voltage 28.4 open, contact_voltage 25.0 loaded, charging_current 1.20",
        "contact_resistance",
        "suspect",
        "1 2 3",
        "2.8 ohms (2.8 to 2.9) from contact voltage 28.4 volts; contact voltage 25.0 volts; "
        "charging current 1.20 amps; beyond the limits (at most 1 Ohm); the contacts lose the "
        "charging voltage",
    ),
    (
        "contact_voltage 28 open, contact_voltage 27 loaded, charging_current 0.9",
        "contact_resistance",
        "unknown",
        "1 2 3",
        "1.1 ohms (0.20 to 2.0) from contact voltage 28 volts; contact voltage 27 volts; charging "
        "current 0.9 amps; not sure enough to judge against at most 1 Ohm: measure again",
    ),
    (
        "contact_voltage 28 open, contact_voltage 29 loaded, charging_current 0.9",
        "contact_resistance",
        "unknown",
        "1 2 3",
        "The contacts read more loaded (29) than open (28): the two were changed over, or the "
        "supply rose. Measure both again.",
    ),
    (
        "contact_voltage 28 open, contact_voltage 27 loaded, charging_current 0",
        "contact_resistance",
        "unknown",
        "1 2 3",
        "No charging current flows, so that the contacts' resistance can't be told: empty the "
        "battery a little and measure again.",
    ),
    ("measured_height 48", "cutting_height", "unknown", "1", "set cutting height not taken yet"),
    (
        "set_height 40, measured_height 35",
        "cutting_height",
        "ok",
        "2 1",
        "−5, measured cutting height 35 millimetres less set cutting height 40 millimetres; within "
        "the limits (−5 to 5 mm)",
    ),
    (
        "set_height 40, measured_height 46",
        "cutting_height",
        "suspect",
        "2 1",
        "6, measured cutting height 46 millimetres less set cutting height 40 millimetres; beyond "
        "the limits (−5 to 5 mm); the cutting height is not what the dial says",
    ),
    (
        "wire_whole_until 40, wire_broken_within 120",
        "wire_break",
        "unknown",
        "1 2",
        "the wire is whole up to 40 m and broken within 120 m: measure next at 80.0 m; halving 6 "
        "times more finds it",
    ),
    (
        "wire_whole_until 40, wire_broken_within 44",
        "wire_break",
        "unknown",
        "1 2",
        "the wire is whole up to 40 m and broken within 44 m: measure next at 42.0 m; halving once "
        "more finds it",
    ),
    (
        "wire_whole_until 40, wire_broken_within 42",
        "wire_break",
        "ok",
        "1 2",
        "the wire is whole up to 40 m and broken within 42 m: located, dig there",
    ),
    (
        "wire_whole_until 40, wire_broken_within 40",
        "wire_break",
        "unknown",
        "1 2",
        "The wire can't be whole up to 40 m and broken within 40 m: measure both again.",
    ),
    (
        "battery_voltage 19.5, rested_voltage 18.2",
        "battery_cells",
        "ok",
        "2",
        "rested battery voltage 18.2 volts is 3.64 volts a cell over 5 cells (nominal 18, full 21 "
        "volts)",
    ),
    (
        "battery_voltage 24.6",
        "battery_cells",
        "suspect",
        "1",
        "battery voltage 24.6 volts is 4.92 volts a cell over 5 cells (nominal 18, full 21 volts), "
        "which no cell can have: it would fit 6, 7, 8 cells. A cell may be dead, or this is "
        "another pack",
    ),
    (
        "battery_voltage 2.2",
        "battery_cells",
        "suspect",
        "1",
        "battery voltage 2.2 volts is 0.440 volts a cell over 5 cells (nominal 18, full 21 volts), "
        "which no cell can have: it would fit no number of cells. A cell may be dead, or this is "
        "another pack",
    ),
    (
        "charging_current 0.5, battery_capacity 0.9",
        "charging_time",
        "ok",
        "1 2",
        "charging current 0.5 amps: measured 0.9 amp hours fill from empty in 110 minutes at the "
        "least, the last tenth goes slower",
    ),
    (
        "charging_current 1.2",
        "charging_time",
        "ok",
        "1",
        "charging current 1.2 amps: rated 2 amp hours fill from empty in 110 minutes at the least, "
        "the last tenth goes slower",
    ),
]
TITLES = {rule.id: f"{rule.title}: " for rule in JOB.computed}


def entered(bench: Bench, steps: str) -> Bench:
    """One entry after the other: "quantity value contexts" or "observation=choice"."""
    for step in steps.split(", "):
        if "=" in step:
            bench.see(*step.split("="))
        else:
            bench.read(*step.split())
    return bench


@pytest.mark.parametrize(("steps", "rule", "verdict", "about", "words"), WORKED_OUT)
def test_it_says_what_it_is_worked_out_from_and_against_what_it_is_judged(
    bench: Bench, steps: str, rule: str, verdict: str, about: str, words: str
) -> None:
    (found,) = (f for f in findings_of(entered(bench, steps).session, JOB) if f.rule == rule)
    assert found.reason == TITLES.get(rule, "") + words
    assert (found.verdict, found.about) == (verdict, tuple(about.split()))
    assert found.source == SOURCES[rule]


@pytest.mark.parametrize("steps", ["charging_current 0", "charging_current 1.2 docked"])
def test_no_charging_time_without_a_current_or_a_capacity(bench: Bench, steps: str) -> None:
    profile = JOB.model_copy(update={"constants": {}}) if "docked" in steps else JOB
    found = findings_of(entered(bench, steps).session, profile)
    assert [f for f in found if f.rule in ("charging_time", "battery_cells")] == []


def test_the_cells_are_the_profiles(bench: Bench) -> None:
    cells = {"battery_cells": 6.0, "cell_full_volts": 3.65, "cell_nominal_volts": 3.2}
    profile = JOB.model_copy(update={"constants": {**JOB.constants, **cells}})
    found = findings_of(bench.read("battery_voltage", "22.5").session, profile)
    (told,) = (f for f in found if f.rule == "battery_cells")
    assert told.reason.endswith(
        "volts a cell over 6 cells (nominal 19.2, full 21.9 volts), which "
        "no cell can have: it would fit 7 cells. A cell may be dead, or this is another pack"
    )


def test_the_metal_of_the_wire_is_the_profiles(bench: Bench) -> None:
    """20 nΩ·m × 250 m / 1.5 mm² × (1 + 0.005 × 20) = 3.67 Ω."""
    metal = {"copper_resistivity_nohm_m": 20.0, "copper_temperature_coefficient": 0.005}
    entered(bench, f"ground_temperature 40, {LOOP} 3.1")
    profile = JOB.model_copy(update={"constants": {**JOB.constants, **metal}})
    (found,) = (f for f in findings_of(bench.session, profile) if f.rule == "boundary_joint")
    assert "0.85 times the 3.7 ohms" in found.reason


def test_each_side_of_the_repair_is_judged_by_what_was_taken_on_it(bench: Bench) -> None:
    """What was not taken again is taken from the other side."""
    entered(bench, f"{LOOP} 3.1, set_height 40, measured_height 48")
    entered(bench, "boundary_length 100 after, boundary_resistance 1.2 after, set_height 48 after")
    entered(bench, "measured_height 49 after")
    told = diagnose(bench.session, JOB).findings
    loops = [f.reason for f in told if f.rule == "boundary_joint"]
    assert ["2.9 ohms that 250 m" in loops[0], "1.1 ohms that 100 m" in loops[1]] == [True, True]
    heights = [f.reason.split(": ")[1].split(",")[0] for f in told if f.rule == "cutting_height"]
    assert heights == ["8", "1"]


def test_what_was_taken_after_the_repair_alone_serves_before_it_too(bench: Bench) -> None:
    entered(bench, "boundary_resistance 3.1, measured_height 48, set_height 40 after")
    entered(bench, "boundary_length 250 after, conductor_area 1.5 after")
    told = {f.rule: f.verdict for f in diagnose(bench.session, JOB).findings}
    assert (told["boundary_joint"], told["cutting_height"]) == ("ok", "suspect")
