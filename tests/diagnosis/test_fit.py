"""The fit engine against NIST's Statistical Reference Datasets, from both starting points."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from assistant.diagnosis.fit import Curve, Floats, fit_curve
from assistant.errors import NotDeterminedError

HERE = Path(__file__).parent / "nist"


def misra1a(x: Floats, b: Floats) -> Floats:
    return np.asarray(b[0] * (1 - np.exp(-b[1] * x)))


def misra1a_slope(x: Floats, b: Floats) -> Floats:
    return np.stack([1 - np.exp(-b[1] * x), b[0] * x * np.exp(-b[1] * x)], axis=1)


def eckerle4(x: Floats, b: Floats) -> Floats:
    return np.asarray(b[0] / b[1] * np.exp(-0.5 * ((x - b[2]) / b[1]) ** 2))


def eckerle4_slope(x: Floats, b: Floats) -> Floats:
    z, y = (x - b[2]) / b[1], eckerle4(x, b)
    return np.stack([y / b[0], y * (z**2 - 1) / b[1], y * z / b[1]], axis=1)


def gauss1(x: Floats, b: Floats) -> Floats:
    decay = b[0] * np.exp(-b[1] * x)
    first = b[2] * np.exp(-(((x - b[3]) / b[4]) ** 2))
    return np.asarray(decay + first + b[5] * np.exp(-(((x - b[6]) / b[7]) ** 2)))


def gauss1_slope(x: Floats, b: Floats) -> Floats:
    decay = np.exp(-b[1] * x)
    columns = [decay, -x * b[0] * decay]
    for height, middle, width in (b[2:5], b[5:8]):
        z = (x - middle) / width
        bell = np.exp(-(z**2))
        columns += [bell, height * bell * 2 * z / width, height * bell * 2 * z**2 / width]
    return np.stack(columns, axis=1)


CURVES: dict[str, tuple[Curve, Curve]] = {
    "Misra1a": (misra1a, misra1a_slope),
    "Eckerle4": (eckerle4, eckerle4_slope),
    "Gauss1": (gauss1, gauss1_slope),
}


@pytest.mark.parametrize("start", [0, 1])
@pytest.mark.parametrize("name", CURVES)
def test_nist_certified_values_are_reached_from_both_starts(name: str, start: int) -> None:
    lines = (HERE / f"{name}.dat").read_text("ascii").splitlines()
    rows = [line.split("=")[1].split() for line in lines[40:53] if line.lstrip().startswith("b")]
    table = np.array(rows, dtype=float)
    y, x = np.loadtxt(lines[60:], unpack=True)
    fit = fit_curve(*CURVES[name], x, y, table[:, start])
    rss = next(line for line in lines if line.startswith("Residual Sum")).split()[-1]
    assert fit.values == pytest.approx(table[:, 2], rel=1e-7)
    assert fit.errors == pytest.approx(table[:, 3], rel=1e-6)
    assert fit.rss == pytest.approx(float(rss), rel=1e-9)


@pytest.mark.parametrize("name", CURVES)
def test_the_jacobian_written_out_is_the_slope_of_the_curve(name: str) -> None:
    curve, slope = CURVES[name]
    point = {
        "Misra1a": [240, 5e-4],
        "Eckerle4": [1.5, 4, 450],
        "Gauss1": [98, 0.01, 100, 67, 23, 72, 179, 18],
    }[name]
    x, b = np.linspace(1, 500, 40), np.array(point, dtype=float)
    for i in range(b.size):
        step = np.zeros_like(b)
        step[i] = 1e-6 * b[i]
        rise = (curve(x, b + step) - curve(x, b - step)) / (2 * step[i])
        assert slope(x, b)[:, i] == pytest.approx(rise, rel=1e-4, abs=1e-6)


def test_too_few_readings_are_refused_with_how_many_more() -> None:
    with pytest.raises(NotDeterminedError, match="at least 1 more"):
        fit_curve(misra1a, misra1a_slope, [1, 2], [1, 2], [1, 1])
    x = np.array([77.6, 239.9, 434.8])
    fit = fit_curve(misra1a, misra1a_slope, x, misra1a(x, np.array([240, 5e-4])), [250, 4e-4])
    assert fit.values == pytest.approx([240, 5e-4])
    assert fit.freedom == 1


def test_numbers_that_the_readings_cannot_tell_apart_are_refused() -> None:
    def curve(x: Floats, b: Floats) -> Floats:
        return np.asarray((b[0] + b[1]) * x)

    def slope(x: Floats, b: Floats) -> Floats:
        return np.stack([x, x], axis=1)

    with pytest.raises(NotDeterminedError, match="don't tell"):
        fit_curve(curve, slope, [1, 2, 3, 4], [1, 2, 3, 4.1], [1, 1])
