"""Do the battery's voltage and cell count go together, and how long will charging take.

Five cells of 3.6 V are 18 V, full at 4.2 V each 21 V: arithmetic on common practice for lithium
cells, no source. The maker's sheet decides.
"""

from __future__ import annotations

NOMINAL_VOLTS, FULL_VOLTS, EMPTY_VOLTS = 3.6, 4.2, 3.0
CHARGED_PER_TAKEN = 0.95
"""Charge kept of the charge put in; common practice, no source."""


def pack_volts(cells: int, volts: float = NOMINAL_VOLTS) -> float:
    return cells * volts


def possible_cells(
    volts: float, empty: float = EMPTY_VOLTS, full: float = FULL_VOLTS
) -> tuple[int, ...]:
    """Every count of cells in series that could show this voltage, each cell between empty and
    full."""
    most = int(volts / empty + 1e-9)
    return tuple(n for n in range(1, most + 1) if n * empty - 1e-9 <= volts <= n * full + 1e-9)


def charging_minutes(
    capacity_amp_hours: float, amps: float, charge: float = 0.0, kept: float = CHARGED_PER_TAKEN
) -> float:
    """Minutes to full from ``charge`` (0 empty to 1 full) at a steady current. The last tenth
    takes longer, since the charger then lowers the current: a lower bound. Raises ValueError
    when no current flows."""
    if amps <= 0:
        raise ValueError("no current flows: the battery isn't charging")
    return 60 * capacity_amp_hours * (1 - charge) / (amps * kept)
