"""Wire, contacts and battery."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.diagnosis.battery import charging_minutes, pack_volts, possible_cells
from assistant.diagnosis.contacts import contact_resistance
from assistant.diagnosis.estimate import reading_uncertainty
from assistant.diagnosis.resistance import IEC_60228_OHM_PER_KM, Wire, halve, judge_wire
from assistant.errors import NotDeterminedError


@pytest.mark.parametrize(
    ("gauge", "ohm_per_km"),
    [(12, 5.2107), (14, 8.2853), (16, 13.1742), (18, 20.9478), (20, 33.3083)],
)
def test_nominal_resistance_of_american_gauges(gauge: int, ohm_per_km: float) -> None:
    """d = 0.127·92^((36−n)/39) mm (from memory), ρ 17.241 nΩ·m (NBS Handbook 100, quoted)."""
    diameter = 0.127 * 92 ** ((36 - gauge) / 39)
    wire = Wire(1000, np.pi / 4 * diameter**2)
    assert wire.nominal == pytest.approx(ohm_per_km, abs=5e-5)


@pytest.mark.parametrize(
    ("area", "solid", "flexible"),
    [
        (0.5, 36.0, 39.0),
        (0.75, 24.5, 26.0),
        (1.0, 18.1, 19.5),
        (1.5, 12.1, 13.3),
        (2.5, 7.41, 7.98),
        (4.0, 4.61, 4.95),
        (6.0, 3.08, 3.30),
    ],
)
def test_the_most_that_iec_60228_allows(area: float, solid: float, flexible: float) -> None:
    """IEC 60228, quoted alike by three cable makers: Ω/km at 20 °C, class 1-2 and class 5."""
    wire = Wire(1000, area)
    assert wire.maximum(flexible=False) == pytest.approx(solid)
    assert wire.maximum() == pytest.approx(flexible)
    assert wire.nominal < solid


def test_the_worked_example_of_a_cold_wire() -> None:
    """120 m of 2.5 mm² class 2: 0.8892 Ω at 20 °C, with 0.00393 0.83678 Ω at 5 °C, and back."""
    cold = Wire(120, 2.5, 5)
    assert Wire(120, 2.5).maximum(flexible=False) == pytest.approx(0.8892)
    assert cold.maximum(flexible=False) == pytest.approx(0.83678, abs=5e-6)
    assert cold.at_20(0.8368) == pytest.approx(0.88922, abs=5e-6)


def test_a_makers_table_of_factors_is_that_of_another_coefficient() -> None:
    """One maker's table: 1.064 at 5 °C, 0.893 at 50 °C, to bring a reading to 20 °C: 0.004 per
    kelvin, where 0.00393 (used here unless stated) gives 1.0626 and 0.8945."""
    makers = {t: 1 / Wire(1, 1, t, coefficient=0.004).warmth for t in (5, 50)}
    ours = {t: 1 / Wire(1, 1, t).warmth for t in (5, 50)}
    assert makers == pytest.approx({5: 1.064, 50: 0.893}, abs=5e-4)
    assert ours == pytest.approx({5: 1.0626, 50: 0.8945}, abs=5e-5)


def test_an_area_off_the_table_or_another_metal_has_no_maximum() -> None:
    assert Wire(100, 0.6).maximum() is None
    assert Wire(100, 1.5, material="copper_clad_steel").maximum() is None
    assert set(IEC_60228_OHM_PER_KM) == {0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0}


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [
        (None, "open"),
        (4000.0, "open"),
        (2.9, "plausible"),
        (5.0, "high_joint"),
        (1.0, "short"),
    ],
)
def test_verdicts_of_a_loop(measured: float | None, verdict: str) -> None:
    """250 m of 1.5 mm² should have 2.87 Ω."""
    assert judge_wire(Wire(250, 1.5), measured)[0] == verdict


def test_the_meters_lead_zero_is_taken_off() -> None:
    wire = Wire(250, 1.5)
    assert judge_wire(wire, wire.nominal + 1.5)[0] == "high_joint"
    assert judge_wire(wire, wire.nominal + 1.5, lead_zero=1.5) == (
        "plausible",
        pytest.approx(1.0),
    )


def test_halving_finds_a_break_in_the_steps_it_says() -> None:
    low, high, broken = 0.0, 240.0, 97.3
    steps = halve(low, high).steps
    for _ in range(steps):
        at = halve(low, high).at
        low, high = (at, high) if broken > at else (low, at)
    assert halve(low, high).steps == 0
    assert low <= broken <= high
    assert high - low <= 2
    with pytest.raises(ValueError, match="measure both again"):
        halve(50, 40)


def test_contact_resistance_carries_the_digits_said() -> None:
    """(28.4 − 26.1) V / 1.2 A = 1.9167 Ω. The uncertainty by drawing the hidden digits at random,
    100,000 times, seed 1."""
    found = contact_resistance("28.4", "26.1", "1.2")
    rng = np.random.default_rng(1)
    opened, loaded, amps = (x + rng.uniform(-0.05, 0.05, 100_000) for x in (28.4, 26.1, 1.2))
    assert found.value == pytest.approx(2.3 / 1.2)
    assert found.half_width == pytest.approx(2 * np.std((opened - loaded) / amps), rel=0.02)
    finer = contact_resistance("28.40", "26.10", "1.20")
    assert finer.half_width == pytest.approx(found.half_width / 10)


def test_contact_resistance_is_refused_without_a_current_or_a_fall() -> None:
    with pytest.raises(NotDeterminedError, match="No charging current"):
        contact_resistance("28.4", "28.4", "0.0")
    with pytest.raises(NotDeterminedError, match="changed over"):
        contact_resistance("26.1", "28.4", "1.2")


def test_the_uncertainty_of_a_display_is_that_of_its_last_said_digit() -> None:
    """JCGM 100:2008 4.3.7 (from memory): half-width a, evenly spread, a/√3."""
    assert reading_uncertainty("12.50") == pytest.approx(0.005 / 3**0.5)
    assert reading_uncertainty("12") == pytest.approx(0.5 / 3**0.5)


def test_five_cells_are_18_volts_and_full_at_21() -> None:
    """Common practice, no source."""
    assert pack_volts(5) == pytest.approx(18)
    assert pack_volts(5, 4.2) == pytest.approx(21)
    assert 5 in possible_cells(18)
    assert 5 in possible_cells(21)
    assert 5 not in possible_cells(21.1)
    assert 5 not in possible_cells(14.9)


def test_charging_time() -> None:
    assert charging_minutes(2.0, 1.0, kept=1.0) == pytest.approx(120)
    assert charging_minutes(2.0, 1.0, charge=0.5, kept=1.0) == pytest.approx(60)
    with pytest.raises(ValueError, match="no current"):
        charging_minutes(2.0, 0)


def test_another_metal_or_a_warm_wire_has_its_own_resistance() -> None:
    """Conductivities as shares of copper's from memory; 20 K more at 0.00393 are 7.9 %."""
    copper = Wire(100, 1.5).nominal
    assert Wire(100, 1.5, material="tinned_copper").nominal == copper
    assert Wire(100, 1.5, material="copper_clad_aluminium").nominal == pytest.approx(copper / 0.63)
    assert Wire(100, 1.5, material="copper_clad_steel").nominal == pytest.approx(copper / 0.4)
    assert Wire(100, 1.5, material="unheard_of").nominal == copper
    assert Wire(100, 1.5, temperature=40).nominal == pytest.approx(copper * 1.0786)


def test_less_than_the_leads_alone_is_nothing() -> None:
    assert judge_wire(Wire(250, 1.5), 0.1, lead_zero=0.2) == ("short", 0.0)


@pytest.mark.parametrize(
    ("volts", "cells"),
    [(2.9, ()), (3.0, (1,)), (4.2, (1,)), (4.3, ()), (18.0, (5, 6)), (21.0, (5, 6, 7))],
)
def test_a_cell_lies_between_empty_and_full(volts: float, cells: tuple[int, ...]) -> None:
    """3.0 to 4.2 V a cell, both counted in; common practice, no source."""
    assert possible_cells(volts) == cells
