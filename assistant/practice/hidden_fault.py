"""Faults to hide in a garden, each done to its numbers and to nothing else.

The names are those of the profile's causes, so that a diagnosis can be marked; three faults are
not on the profile's list. How bad a fault is comes from ``rng``, and ``harder`` scales it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from assistant.errors import UnknownNameError
from assistant.practice.garden import Garden

Rng = np.random.Generator
NOT_LISTED = "not_listed"


def _either(rng: Rng) -> float:
    return float(rng.choice([-1.0, 1.0]))


def _station_off_level(garden: Garden, rng: Rng, harder: float) -> Garden:
    size = harder * rng.uniform(3.5, 8) * _either(rng)
    if rng.random() < 0.5:
        return replace(garden, lean=size)
    return replace(garden, lean=size * 0.4, lean_aside=size)


def _station_moved(garden: Garden, rng: Rng, harder: float) -> Garden:
    clearance = float(rng.uniform(0.8, 2)) if rng.random() < 0.25 else garden.clearance
    moved = harder * rng.uniform(80, 220) * _either(rng)
    return replace(garden, station_moved=moved, clearance=clearance)


def _guide_wire_out_of_line(garden: Garden, rng: Rng, harder: float) -> Garden:
    return replace(garden, guide_offset=harder * rng.uniform(80, 180) * _either(rng))


def _insulation(garden: Garden, rng: Rng) -> float:
    """Some bare spots lie in wet ground."""
    return float(rng.uniform(0.05, 2)) if rng.random() < 0.45 else garden.insulation


def _boundary_break(garden: Garden, rng: Rng, _harder: float) -> Garden:
    return replace(garden, boundary_broken=True, insulation=_insulation(garden, rng))


def _high_joint(garden: Garden, rng: Rng, harder: float) -> Garden:
    ohms = harder * rng.uniform(6, 40)
    insulation = _insulation(garden, rng)
    if rng.random() < 0.6:
        return replace(garden, boundary_joint=ohms, insulation=insulation)
    return replace(garden, guide_joint=ohms, insulation=insulation)


def _supply(garden: Garden, rng: Rng, harder: float) -> Garden:
    surge = bool(rng.random() < 0.25)
    if rng.random() < 0.5:
        return replace(garden, supply_volts=28.4 - harder * rng.uniform(3, 12), surge=surge)
    return replace(garden, supply_ohms=harder * rng.uniform(3, 9), surge=surge)


def _battery(garden: Garden, rng: Rng, harder: float) -> Garden:
    swollen = bool(rng.random() < 0.15)
    return replace(garden, battery_share=rng.uniform(0.2, 0.65) / harder, battery_swollen=swollen)


def _wheel_slip(garden: Garden, rng: Rng, harder: float) -> Garden:
    slip, tread = harder * rng.uniform(0.18, 0.5), rng.uniform(0.3, 3) / harder
    return replace(garden, wheel_slip=slip, tread=tread)


Breaks = Callable[[Garden, Rng, float], Garden]
FAULTS: dict[str, Breaks] = {
    "station_off_level": _station_off_level,
    "station_moved": _station_moved,
    "guide_wire_out_of_line": _guide_wire_out_of_line,
    "boundary_break": _boundary_break,
    "high_joint": _high_joint,
    "front_sensor": lambda g, r, h: replace(g, front_gain=r.uniform(0.2, 0.8) / h),
    "rear_sensor": lambda g, r, h: replace(g, rear_gain=r.uniform(0.2, 0.8) / h),
    "station_antenna": lambda g, r, h: replace(g, antenna=r.uniform(0, 0.25) / h),
    "supply": _supply,
    "worn_contacts": lambda g, r, h: replace(g, contact_ohms=h * r.uniform(2.5, 12)),
    "battery": _battery,
    "wheel_slip": _wheel_slip,
    "neighbour_interference": lambda g, r, h: replace(g, interference=h * r.uniform(6, 30)),
    "compass": lambda g, _r, _h: replace(g, compass_works=False),
    "charger": lambda g, _r, _h: replace(g, charger_works=False),
    "receiver_board": lambda g, r, h: replace(g, board_gain=r.uniform(0.15, 0.5) / h),
}
OFF_THE_LIST = ("compass", "charger", "receiver_board")
"""Faults that no profile cause names: right is to say "something not on this list"."""


def hide(garden: Garden, fault: str, rng: Rng, harder: float = 1.0) -> Garden:
    """The garden with one more fault. Raises UnknownNameError for a name that isn't in FAULTS."""
    if fault not in FAULTS:
        raise UnknownNameError(
            f"There is no fault {fault!r} to practise on; there are: {', '.join(FAULTS)}."
        )
    return FAULTS[fault](garden, rng, harder)
