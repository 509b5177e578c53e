"""The magnetic field of wires in the ground, as a mower's coil over them sees it.

The wire runs along y. A sensor stands ``across`` metres to the side and ``above`` metres over the
wire. Fields are in tesla: ``Field.x`` across the wire, ``Field.z`` upward. Straight wires of
negligible thickness in ground that doesn't disturb the field (soil's permeability is that of air).
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

MU_0 = 4e-7 * np.pi
"""Magnetic constant in the value exact until 2019, in tesla metres per ampere."""

Axis = Literal["horizontal", "vertical"]
"""How a sensor's coil lies: horizontal across the wire, its signal peaks over the wire;
vertical, its signal is zero there and changes sign."""


class Field(NamedTuple):
    x: NDArray[np.float64]
    z: NDArray[np.float64]

    def plus(self, other: Field) -> Field:
        return Field(self.x + other.x, self.z + other.z)

    def along(self, axis: Axis) -> NDArray[np.float64]:
        return self.x if axis == "horizontal" else self.z


def field_of_long_wire(current: float, across: ArrayLike, above: float) -> Field:
    """Long straight wire, B = µ0·I/2πr. Raises ValueError on the wire itself."""
    x = np.asarray(across, dtype=np.float64)
    squared = x**2 + above**2
    if np.any(squared == 0):
        raise ValueError("the sensor is on the wire itself, where the field has no value")
    scale = MU_0 * current / (2 * np.pi * squared)
    return Field(scale * above, -scale * x)


def field_of_finite_wire(
    current: float, across: ArrayLike, above: float, start: float, end: float
) -> Field:
    """Straight piece of wire from ``start`` to ``end`` metres along y, the sensor at y = 0
    (Biot and Savart)."""
    x = np.asarray(across, dtype=np.float64)
    distance = np.hypot(x, above)
    share = (end / np.hypot(end, distance) - start / np.hypot(start, distance)) / 2
    long = field_of_long_wire(current, x, above)
    return Field(long.x * share, long.z * share)


def field_of_pair(current: float, across: ArrayLike, above: float, spacing: float) -> Field:
    """A go wire at 0 and its return at ``spacing`` metres beside it, equally deep. Laid side by
    side (spacing 0) they cancel: such a piece of loop is invisible."""
    x = np.asarray(across, dtype=np.float64)
    go = field_of_long_wire(current, x, above)
    return go.plus(field_of_long_wire(-current, x - spacing, above))
