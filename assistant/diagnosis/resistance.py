"""Resistance of a wire in the ground: what it should be, and what the difference means.

Nominal R = ρL/A at 20 °C, R(t) = R·(1 + α(t − 20)). The verdicts are against the nominal; the
maximum of IEC 60228 is the bound that no sound wire of its class passes.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log2
from typing import Literal

COPPER_NOHM_M = 17.241
"""Annealed copper at 20 °C in nΩ·m (NBS Handbook 100)."""
COPPER_PER_KELVIN = 0.00393
"""Temperature coefficient used, of annealed copper at 20 °C. Makers' tables of factors are often
worked out with 0.004 (1.064 at 5 °C); a coefficient of 0.00393 gives 1.0626 there."""
CONDUCTIVITY = {
    "copper": 1.0,
    "tinned_copper": 1.0,
    "copper_clad_aluminium": 0.63,
    "copper_clad_steel": 0.40,
}
"""Conductivity as a share of copper's; the clad wires from memory, their maker's sheet decides."""
IEC_60228_OHM_PER_KM = {
    0.5: (36.0, 39.0),
    0.75: (24.5, 26.0),
    1.0: (18.1, 19.5),
    1.5: (12.1, 13.3),
    2.5: (7.41, 7.98),
    4.0: (4.61, 4.95),
    6.0: (3.08, 3.30),
}
"""Area in mm² to the largest resistance at 20 °C in Ω/km of plain copper, class 1 or 2 and
class 5 (IEC 60228, as quoted alike by three cable makers)."""
OPEN_OHM = 100.0
SHORT_SHARE, JOINT_SHARE = 0.7, 1.3

Verdict = Literal["open", "high_joint", "short", "plausible"]


@dataclass(frozen=True, slots=True)
class Wire:
    """Length in m, area in mm², temperature of the ground in °C."""

    length: float
    area: float
    temperature: float = 20.0
    material: str = "copper"
    resistivity: float = COPPER_NOHM_M
    coefficient: float = COPPER_PER_KELVIN

    @property
    def warmth(self) -> float:
        """Factor from 20 °C to the wire's temperature."""
        return 1.0 + self.coefficient * (self.temperature - 20.0)

    @property
    def nominal(self) -> float:
        """Expected resistance in Ω at the wire's temperature."""
        ohm_metres = self.resistivity / CONDUCTIVITY.get(self.material, 1.0) * 1e-9
        return ohm_metres * self.length / (self.area * 1e-6) * self.warmth

    def maximum(self, flexible: bool = True) -> float | None:
        """Most that IEC 60228 allows at the wire's temperature, in Ω; ``flexible`` is class 5,
        else class 1 or 2. None for an area or a material that the table lacks."""
        row = IEC_60228_OHM_PER_KM.get(self.area)
        if row is None or self.material != "copper":
            return None
        return row[flexible] * self.length / 1000 * self.warmth

    def at_20(self, measured: float) -> float:
        """A resistance measured at the wire's temperature, brought to 20 °C."""
        return measured / self.warmth


def judge_wire(
    wire: Wire,
    measured: float | None,
    lead_zero: float = 0.0,
    low: float = SHORT_SHARE,
    high: float = JOINT_SHARE,
    open_from: float = OPEN_OHM,
) -> tuple[Verdict, float]:
    """Verdict, and measured over expected. ``measured`` in Ω with the meter's ``lead_zero`` still
    in it; None is off the scale. ``low`` and ``high`` are shares of the nominal."""
    if measured is None or measured >= open_from:
        return "open", float("inf")
    share = max(measured - lead_zero, 0.0) / wire.nominal
    if share > high:
        return "high_joint", share
    return ("short" if share < low else "plausible"), share


@dataclass(frozen=True, slots=True)
class Halving:
    """Metres from the station: measure next ``at``; ``steps`` more find the break to within the
    length that one digs up."""

    at: float
    steps: int


def halve(whole_until: float, broken_within: float, dig: float = 2.0) -> Halving:
    """Where to open the wire next, when it is whole up to ``whole_until`` metres and broken
    within ``broken_within``. Raises ValueError when the second isn't beyond the first."""
    span = broken_within - whole_until
    if span <= 0:
        raise ValueError(
            f"The wire can't be whole up to {whole_until:g} m and broken within "
            f"{broken_within:g} m: measure both again."
        )
    return Halving((whole_until + broken_within) / 2, max(0, ceil(log2(span / dig))))
