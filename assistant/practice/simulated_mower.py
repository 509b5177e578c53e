"""A mower that answers a technician's readings from physics, its fault hidden.

It is written from the physics and never from the profile's likelihoods: currents split between the
halves of the loop, fields fall with distance, the display limits its gain, meters scatter and
round. What it measures of a diagnosis is therefore whether that is sound in itself. It says
nothing about how often real mowers fail, or how: the numbers are plausible, not measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from assistant.diagnosis.field import field_of_long_wire
from assistant.diagnosis.resistance import Wire
from assistant.errors import UnknownNameError
from assistant.practice.garden import Garden

DRIVE_VOLTS, DRIVE_OHMS = 8.0, 10.0
COUNTS_PER_NANOTESLA = 0.095
GAIN_LIMIT = 350.0
"""Counts from which the display's gain control flattens what is shown."""
MOST_AMPS, LEAST_CHARGING_VOLTS = 1.3, 22.5
CAPACITY = 2.0
METER_OPEN_OHM = 2000.0


class Display(NamedTuple):
    """What a display shows: ``value`` is a decimal string, None where it shows none."""

    state: Literal["value", "no_reading", "off_scale"]
    value: str | None


@dataclass
class SimulatedMower:
    """``read`` is what a display or meter shows, ``look`` what eyes see. Each call draws its own
    scatter from ``rng``, ``keen`` is the technician's chance to notice what can be seen."""

    garden: Garden
    rng: np.random.Generator
    keen: float = 0.92

    def read(
        self, quantity: str, position: str | None, context: Mapping[str, str], shift: float = 0.0
    ) -> Display:
        """Raises UnknownNameError for a quantity that it hasn't got."""
        if quantity in ("guide_signal", "boundary_signal"):
            docked = context.get("station") == "docked"
            return self._signal(quantity, position or "front", docked, shift)
        exact = self._exact(quantity, context.get("load") == "loaded")
        if exact is None:
            raise UnknownNameError(
                f"The simulated mower has no {quantity} to read; measure something else."
            )
        value, scatter, digits = exact
        if value >= METER_OPEN_OHM:
            return Display("off_scale", None)
        return _shown(self.rng.normal(value, scatter), digits)

    def look(self, item: str) -> str | None:
        """The choice seen for an observation of the profile, None for one that it hasn't got."""
        seen = _looks(self.garden, self).get(item)
        return None if seen is None else seen[0] if self.rng.random() < self.keen else seen[-1]

    # Wires and signals

    @property
    def boundary_ohms(self) -> float:
        g = self.garden
        if g.boundary_broken:
            return 1e6
        return Wire(g.boundary_length, g.conductor_area, g.ground_temperature).nominal + (
            g.boundary_joint
        )

    @property
    def guide_ohms(self) -> float:
        g = self.garden
        wire = Wire(g.guide_length, g.conductor_area, g.ground_temperature)
        return wire.nominal + g.guide_joint

    @property
    def boundary_amps(self) -> float:
        return DRIVE_VOLTS / (DRIVE_OHMS + self.boundary_ohms)

    @property
    def guide_amps(self) -> float:
        """The guide's current comes back by both halves of the loop; a break leaves one."""
        g = self.garden
        whole = Wire(g.boundary_length, g.conductor_area, g.ground_temperature).nominal
        near = g.guide_joins_at * whole + g.boundary_joint
        far = (1 - g.guide_joins_at) * whole
        back = far if g.boundary_broken else near * far / (near + far)
        return DRIVE_VOLTS / (DRIVE_OHMS + self.guide_ohms + back)

    @property
    def beside(self) -> float:
        """How far the guide lies beside the line that the station points along, in mm: a station
        that was moved still stands partly over it."""
        return self.garden.guide_offset + 0.5 * self.garden.station_moved

    def _counts(self, quantity: str, shift: float) -> float:
        """Undocked, over the wire but for the shift, before sensor and display."""
        g, across = self.garden, (shift - self.beside) / 1000
        if quantity == "boundary_signal":
            field = field_of_long_wire(self.boundary_amps, shift / 1000, g.depth / 1000)
        else:
            guide = field_of_long_wire(self.guide_amps, across, g.depth / 1000)
            field = guide.plus(field_of_long_wire(self.boundary_amps, across + 1.5, g.depth / 1000))
        return float(field.x) * 1e9 * COUNTS_PER_NANOTESLA * g.board_gain

    def _signal(self, quantity: str, position: str, docked: bool, shift: float) -> Display:
        g = self.garden
        counts = self._counts(quantity, shift + self.rng.normal(0, 4))
        if docked and position == "rear":
            over = 115.0 if quantity == "guide_signal" else 320.0
            counts = 0.5 * counts - over * g.antenna
        counts *= g.front_gain if position == "front" else g.rear_gain
        counts += self.rng.normal(0, 1.2 + g.interference)
        return _shown(counts / np.sqrt(1 + (counts / GAIN_LIMIT) ** 2), 0)

    @property
    def quality(self) -> float:
        """Percent: full until the weakest needed signal nears the noise."""
        g = self.garden
        weakest = min(self._counts("guide_signal", self.beside), self._counts("boundary_signal", 0))
        weakest *= min(g.front_gain, g.rear_gain)
        return float(np.clip(100 * weakest / (30 + 9 * g.interference), 0, 100))

    # Charging

    @property
    def charging(self) -> tuple[float, float, float]:
        """Volts at the supply, volts at the contacts, amps: a steady current unless the charger
        would fall below its least voltage."""
        g = self.garden
        along = g.supply_ohms + g.cable_ohms + g.contact_ohms
        amps = min(MOST_AMPS, max(0.0, g.supply_volts - LEAST_CHARGING_VOLTS) / along)
        amps *= g.charger_works
        at_supply = g.supply_volts - amps * g.supply_ohms
        return at_supply, g.supply_volts - amps * along, amps

    def _exact(self, quantity: str, loaded: bool) -> tuple[float, float, int] | None:
        """Value, the meter's scatter, and the digits shown."""
        g = self.garden
        at_supply, at_contacts, amps = self.charging
        open_volts = g.supply_volts
        sag = 1.2 * (1 - g.battery_share)
        table = {
            "station_tilt": (g.lean, 0.2, 1),
            "station_side_tilt": (g.lean_aside, 0.2, 1),
            "station_clearance": (g.clearance, 0.03, 1),
            "signal_quality": (min(100.0, self.quality), 0.0 if self.quality >= 100 else 1.0, 0),
            "supply_voltage": (at_supply if loaded else open_volts, 0.05, 1),
            "cable_drop": (amps * g.cable_ohms, 0.02, 2),
            "contact_voltage": (at_contacts if loaded else open_volts, 0.05, 1),
            "charging_current": (amps, 0.01, 2),
            "boundary_resistance": (self.boundary_ohms + g.lead_zero, 0.05, 1),
            "guide_resistance": (self.guide_ohms + g.lead_zero, 0.05, 1),
            "insulation_resistance": (g.insulation, 0.05 * g.insulation, 1),
            "boundary_length": (g.boundary_length, 0.0, 0),
            "guide_length": (g.guide_length, 0.0, 0),
            "conductor_area": (g.conductor_area, 0.0, 1),
            "ground_temperature": (g.ground_temperature, 0.5, 0),
            "lead_zero": (g.lead_zero, 0.0, 1),
            "rested_voltage": (20.6 - 2 * sag, 0.03, 2),
            "battery_voltage": (19.8 - 2 * sag, 0.03, 2),
            "battery_capacity": (CAPACITY * g.battery_share, 0.03, 2),
            "tread_depth": (g.tread, 0.3, 0),
        }
        return table.get(quantity)


def _shown(value: float, digits: int) -> Display:
    text = f"{value:.{digits}f}"
    return Display("value", text.lstrip("-") if float(text) == 0 else text)


def _looks(g: Garden, mower: SimulatedMower) -> dict[str, tuple[str, ...]]:
    """Item to what a keen eye sees and, last, what is said when it is overlooked."""
    amps = mower.charging[2]
    weakest = mower._counts("guide_signal", 0) * min(g.front_gain, g.rear_gain)
    aside = mower.beside + 20 * g.lean_aside + 8 * g.lean + 200 * (g.rear_gain - g.front_gain)
    stray = abs(mower.rng.normal(0, 15 + 250 * g.wheel_slip + 2 * g.interference))
    lost = weakest < 35 or g.antenna < 0.5 or not g.compass_works or g.board_gain < 0.4
    misses = abs(aside) + stray > 70 or lost
    side = "always_right" if aside > 0 else "always_left"
    wavers = g.interference > 5 or max(g.boundary_joint, g.guide_joint) > 25
    faulty_loop = "steady" if g.boundary_broken else None
    if faulty_loop is None and (g.boundary_joint > 12 or g.interference > 18 or g.guide_joint > 20):
        faulty_loop = "comes_and_goes"
    joint = max(g.boundary_joint, g.guide_joint) > 0
    worn = "worn" if g.contact_ohms > 2 else "dirty" if g.contact_ohms > 0.8 else "bright"
    spent = g.battery_share < 0.45
    charge = "never" if amps < 0.1 else "breaks_off" if amps < 0.9 or spent else "charges"
    front_cures = g.front_gain < 0.85 and g.board_gain == 1
    rear_cures = g.rear_gain < 0.85 and g.board_gain == 1
    return {
        "docking": ("misses" if misses else "finds",),
        "miss_side": (side if abs(aside) > max(40.0, stray) else "either_side",),
        "loop_fault": (faulty_loop or "none",),
        "charging": (charge,),
        "station_place": ("shifted" if abs(g.station_moved) > 50 else "unchanged", "unchanged"),
        "surge_damage": ("seen" if g.surge else "none", "none"),
        "antenna_lead": ("damaged" if g.antenna < 0.15 else "sound", "sound"),
        "guide_path": ("crooked" if abs(mower.beside) > 70 else "straight", "straight"),
        "splice_kind": ("terminal_block" if joint else "gel", "gel"),
        "signal_steadiness": ("wavering" if wavers else "steady", "steady"),
        "neighbour_test": ("cured" if g.interference > 5 else "no_change",),
        "front_swap": ("cured" if front_cures else "no_change",),
        "rear_swap": ("cured" if rear_cures else "no_change",),
        "contact_faces": (worn, "bright"),
        "battery_swelling": ("swollen" if g.battery_swollen else "none", "none"),
        "wheel_grip": ("slips" if g.wheel_slip > 0.15 else "grips", "grips"),
        "conductor_material": ("copper",),
    }
