"""Fields of wires against a textbook, a table worked out with magpylib, and magpylib itself."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.diagnosis.field import (
    MU_0,
    field_of_finite_wire,
    field_of_long_wire,
    field_of_pair,
)

NANO = 1e-9


def test_openstax_three_wires_at_the_corners_of_a_square() -> None:
    """OpenStax University Physics 2, "Calculating Magnetic Field Due to Three Wires" (m58461):
    2 A each, 1 cm square, point P at the free corner; prints 4e-5, 2.83e-5, 4e-5 T and 8e-5 T,
    exactly 84.853 µT."""
    side = 0.01
    beside = field_of_long_wire(2, side, 0.0)
    corner = field_of_long_wire(2, side, side)
    under = field_of_long_wire(2, 0.0, side)
    sizes = [float(np.hypot(f.x, f.z)) for f in (beside, corner, under)]
    assert sizes == pytest.approx([4e-5, 2.83e-5, 4e-5], rel=2e-3)
    total = beside.plus(corner).plus(under)
    assert abs(total.x) == pytest.approx(6e-5)
    assert abs(total.z) == pytest.approx(6e-5)
    assert np.hypot(total.x, total.z) == pytest.approx(84.853e-6, rel=1e-5)


@pytest.mark.parametrize(
    ("across", "x", "z"),
    [  # long wire, 0.5 A, 0.25 m deep; magpylib 6.3.0 agrees
        (0.0, 400, 0),
        (0.1, 344.827586, -137.931034),
        (0.25, 200, -200),
        (0.5, 80, -160),
        (1.0, 23.529412, -94.117647),
    ],
)
def test_the_table_of_a_long_wire(across: float, x: float, z: float) -> None:
    field = field_of_long_wire(0.5, across, 0.25)
    assert field.along("horizontal") / NANO == pytest.approx(x, rel=1e-6, abs=1e-9)
    assert field.along("vertical") / NANO == pytest.approx(z, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("across", "x", "z"), [(0.0, 388.0570, 0), (0.25, 188.5618, -188.5618)])
def test_the_table_of_a_finite_wire(across: float, x: float, z: float) -> None:
    field = field_of_finite_wire(0.5, across, 0.25, -1, 1)
    assert field.x / NANO == pytest.approx(x, rel=1e-6)
    assert field.z / NANO == pytest.approx(z, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("spacing", "across", "x", "z"),
    [
        (0.5, 0.0, 320, -160),
        (0.5, 0.25, 0, -400),
        (0.05, 0.0, 15.384615, -76.923077),
        (0.05, 0.25, -43.902439, -4.878049),
        (0.0, 0.1, 0, 0),
    ],
)
def test_the_table_of_a_go_and_return_pair(
    spacing: float, across: float, x: float, z: float
) -> None:
    field = field_of_pair(0.5, across, 0.25, spacing)
    assert field.x / NANO == pytest.approx(x, rel=1e-6, abs=1e-9)
    assert field.z / NANO == pytest.approx(z, rel=1e-6, abs=1e-9)


def test_the_centre_of_a_square_loop() -> None:
    """2 m square, 0.5 A: 282.842712 nT = 2√2 µ0 I / πL."""
    side = field_of_finite_wire(0.5, 1.0, 0.0, -1, 1)
    assert 4 * abs(side.z) / NANO == pytest.approx(282.842712, rel=1e-8)


def test_a_vertical_coil_sees_most_at_45_degrees_half_of_a_horizontal_ones_peak() -> None:
    across = np.linspace(0, 1, 100_001)
    seen = np.abs(field_of_long_wire(0.5, across, 0.25).z)
    assert across[np.argmax(seen)] == pytest.approx(0.25, abs=1e-4)
    assert seen.max() / NANO == pytest.approx(200)


def test_on_the_wire_is_refused() -> None:
    with pytest.raises(ValueError, match="on the wire"):
        field_of_long_wire(1, 0, 0)


def test_magpylib_gives_the_same_field_of_a_finite_wire() -> None:
    magpylib = pytest.importorskip("magpylib")
    wire = magpylib.current.Polyline(current=0.5, vertices=[(0, -3, 0), (0, 7, 0)])
    for across, above in [(0.0, 0.25), (0.13, 0.2), (-0.4, 0.31), (1.7, 0.05)]:
        expected = wire.getB((across, 0, above))
        field = field_of_finite_wire(0.5, across, above, -3, 7)
        assert (field.x, field.z) == pytest.approx((expected[0], expected[2]), rel=1e-6)


def test_the_magnetic_constant() -> None:
    """CODATA 2018 gives 1.25663706212e-6 (from memory)."""
    assert pytest.approx(1.25663706212e-6, rel=1e-9) == MU_0
