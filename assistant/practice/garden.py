"""A mower, its station and its wires as numbers: what a simulated mower's readings come from.

The healthy values are an invented depot's, plausible and not measured on any machine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Garden:
    """Lengths of wire in m, small distances in mm, angles in degrees, ohms, volts, amps."""

    boundary_length: float = 250.0
    guide_length: float = 40.0
    guide_joins_at: float = 0.4
    """Where the guide meets the boundary, as a share of its length: there its current splits."""
    conductor_area: float = 1.5
    ground_temperature: float = 15.0
    lead_zero: float = 0.2
    boundary_joint: float = 0.0
    guide_joint: float = 0.0
    boundary_broken: bool = False
    insulation: float = 50.0
    depth: float = 110.0
    """From sensor to wire."""
    guide_offset: float = 0.0
    """Where the guide lies beside the line that the station points along, positive right."""
    station_moved: float = 0.0
    lean: float = 0.0
    lean_aside: float = 0.0
    clearance: float = 3.0
    front_gain: float = 1.0
    rear_gain: float = 1.0
    board_gain: float = 1.0
    antenna: float = 1.0
    interference: float = 0.0
    """Counts by which a neighbour's loop makes the signals waver."""
    supply_volts: float = 28.4
    supply_ohms: float = 0.2
    cable_ohms: float = 0.3
    surge: bool = False
    contact_ohms: float = 0.15
    charger_works: bool = True
    battery_share: float = 1.0
    """What is left of the battery's capacity."""
    battery_swollen: bool = False
    wheel_slip: float = 0.03
    tread: float = 8.0
    compass_works: bool = True


def healthy_garden(rng: np.random.Generator) -> Garden:
    """A garden with nothing wrong, as gardens differ."""
    return Garden(
        boundary_length=float(np.round(rng.uniform(150, 400))),
        guide_length=float(np.round(rng.uniform(15, 60))),
        guide_joins_at=float(rng.uniform(0.2, 0.8)),
        ground_temperature=float(np.round(rng.uniform(5, 25))),
        insulation=float(rng.uniform(5, 100)),
        depth=float(rng.uniform(90, 125)),
        guide_offset=float(rng.normal(0, 10)),
        lean=float(rng.normal(0, 0.7)),
        lean_aside=float(rng.normal(0, 0.5)),
        clearance=float(rng.uniform(2.1, 4)),
        front_gain=float(rng.normal(1, 0.015)),
        rear_gain=float(rng.normal(1, 0.015)),
        supply_volts=float(rng.normal(28.4, 0.2)),
        supply_ohms=float(rng.uniform(0.15, 0.35)),
        cable_ohms=float(rng.uniform(0.2, 0.5)),
        contact_ohms=float(rng.uniform(0.05, 0.3)),
        battery_share=float(rng.uniform(0.85, 1)),
        wheel_slip=float(rng.uniform(0, 0.05)),
        tread=float(rng.uniform(4, 10)),
    )
