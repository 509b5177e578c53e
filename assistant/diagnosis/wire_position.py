"""Where the wire lies under the mower, from signals read at known sideways shifts.

The displayed signal is taken as proportional to the field of one long straight wire. A horizontal
coil peaks over the wire, a vertical one is zero there and changes sign. Shifts are in millimetres,
positive to the right seen the way the mower looks; ``offset`` is where the wire lies on that scale,
so that 0 is the middle of the mower.

Warned of with every result: the display may be gain-controlled (the peak looks flatter and the
wire deeper than it is), and a bad joint weakens the signal as a wire out of line does, though
evenly and without moving its peak.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, sqrt

import numpy as np

from assistant.diagnosis.estimate import Estimate
from assistant.diagnosis.field import Axis
from assistant.diagnosis.fit import Fit, Floats, fit_curve
from assistant.diagnosis.reasons import limit_words
from assistant.errors import NotDeterminedError

LEAST_READINGS = 5
DEPTHS_MM = (20.0, 1000.0)
"""From a sensor just over a wire on the ground to one that is dug in far too deep."""
LEAST_REACH = 0.3
"""Readings must reach this far to the sides, as a share of the depth: nearer the wire the curve
is a flat parabola in which depth and strength are one."""
DEPTH_SURE_TO = 0.5
"""Half the interval of the depth, as a share of it, from which the fit is refused."""
BAD_MISS = 0.1
"""Largest miss, as a share of the largest signal, from which the shape is doubted."""
DISPLAY_WARNING = (
    "Displayed signals may be gain-controlled, which flattens the curve and makes the wire look "
    "deeper; a bad joint weakens the signal too, but does not move its peak."
)


@dataclass(frozen=True, slots=True)
class WirePosition:
    """``offset`` and ``depth`` in mm, ``strength`` in displayed counts: over the wire for a
    horizontal coil, twice the largest for a vertical one. ``spread`` is the readings' scatter
    about the curve and ``worst`` the largest miss, in counts."""

    offset: Estimate
    depth: Estimate
    strength: Estimate
    spread: float
    worst: float
    freedom: int
    axis: Axis
    doubt: str = ""
    """Why the curve is not believed, in words; empty where the readings follow it."""

    def curve(self, shifts: Floats) -> Floats:
        """The fitted signal at these shifts."""
        values = np.array([self.offset.value, self.depth.value, self.strength.value])
        return _signal(self.axis, np.asarray(shifts, dtype=np.float64), values)


@dataclass(frozen=True, slots=True)
class Approach:
    """Angle in degrees between the mower's middle line and the wire, positive when the wire runs
    to the right ahead."""

    angle: Estimate


def locate_wire(
    shifts: Sequence[float], signals: Sequence[float], axis: Axis | None, resolution: float = 1.0
) -> WirePosition:
    """Fit offset, depth and strength to signals (counts, to the nearest ``resolution``) read at
    shifts (mm). Raises NotDeterminedError, which says what to measure, where the readings do not
    determine them."""
    x, y = np.asarray(shifts, dtype=np.float64), np.asarray(signals, dtype=np.float64)
    if axis is None:
        raise NotDeterminedError(
            "How the sensor's coil lies is not known: set sensor_coil_axis_degrees in the profile "
            "(0 horizontal, 90 vertical), after seeing whether the signal peaks over the wire."
        )
    _refuse_before_fit(x, y, resolution)
    fit = _best_fit(axis, x, y)
    offset, depth = (float(value) for value in fit.values[:2])
    if not (x < offset).any() or not (x > offset).any():
        side = "right" if offset >= x.max() else "left"
        raise NotDeterminedError(
            f"All readings lie on one side of the wire: it is further {side}. Shift the mower to "
            f"the {side} until the signal has passed its turning point, and read on both sides."
        )
    reach = min(offset - x.min(), x.max() - offset)
    widths = fit.half_width(least_spread=resolution / sqrt(12))
    if max(abs(x - offset)) < LEAST_REACH * depth or widths[1] > DEPTH_SURE_TO * depth:
        need = max(2 * float(max(abs(x))), 100.0)
        raise NotDeterminedError(
            f"The shifts are too small for so deep a wire (they reach {reach:.0f} mm past it): "
            f"depth and strength can't be told apart. Read again out to {need:.0f} mm on either "
            "side."
        )
    misses = abs(_signal(axis, x, fit.values) - y)
    doubt = ""
    if misses.max() > max(BAD_MISS * abs(y).max(), 2 * resolution):
        at = x[int(misses.argmax())]
        doubt = (
            f"the readings don't follow one straight wire (at shift {limit_words(at)} mm the curve "
            f"misses by {misses.max():.0f}): another wire is near, or a reading is wrong"
        )
    estimates = [Estimate(float(v), float(w)) for v, w in zip(fit.values, widths, strict=True)]
    return WirePosition(
        offset=estimates[0],
        depth=estimates[1],
        strength=estimates[2],
        spread=fit.spread,
        worst=float(misses.max()),
        freedom=fit.freedom,
        axis=axis,
        doubt=doubt,
    )


def angle_of_approach(front: WirePosition, rear: WirePosition, spacing: float) -> Approach:
    """Angle of the wire under two sensors on the middle line, ``spacing`` mm apart. Raises
    NotDeterminedError without a spacing."""
    if spacing <= 0:
        raise NotDeterminedError("Set sensor_spacing_mm in the profile to get the angle.")
    across = front.offset.value - rear.offset.value
    half = hypot(front.offset.half_width, rear.offset.half_width)
    angle = atan2(across, spacing)
    return Approach(Estimate(degrees(angle), degrees(half / spacing * cos(angle) ** 2)))


def position_in_words(found: WirePosition) -> str:
    """How far and which way, and how sure."""
    low, high = found.offset.interval
    where = _side(found.offset.value)
    sure = f"95 % sure: {_side(low)} to {_side(high)}"
    if low * high > 0:
        near, far = sorted((abs(low), abs(high)))
        sure = f"95 % sure: {near:.0f} to {far:.0f} mm"
    deep = (
        f"{found.depth.value:.0f} mm under the sensor (give or take {found.depth.half_width:.0f})"
    )
    if low <= 0 <= high:
        return f"the wire lies {where} of the middle ({sure}), {deep}: no sideways error is proven"
    return f"the wire lies {where} of the middle ({sure}), {deep}"


def move_in_words(found: WirePosition) -> str:
    """What to move, how far and which way; either does it alone."""
    away, toward = ("left", "right") if found.offset.value > 0 else ("right", "left")
    distance = f"{abs(found.offset.value):.0f} mm"
    return f"move the wire {distance} to the {away}, or the station {distance} to the {toward}"


def approach_in_words(approach: Approach) -> str:
    """Which way the wire runs under the mower, and how sure."""
    low, high = approach.angle.interval
    if low <= 0 <= high:
        most = max(-low, high)
        return f"the wire runs along the mower's middle line, to within {most:.1f}° (95 % sure)"
    near, far = sorted((abs(low), abs(high)))
    side = "right" if approach.angle.value > 0 else "left"
    return (
        f"the wire runs {abs(approach.angle.value):.1f}° to the {side} ahead, against the mower's "
        f"middle line (95 % sure: {near:.1f}° to {far:.1f}°)"
    )


def _side(millimetres: float) -> str:
    return f"{abs(millimetres):.0f} mm {'right' if millimetres >= 0 else 'left'}"


def _refuse_before_fit(x: Floats, y: Floats, resolution: float) -> None:
    distinct = np.unique(x).size
    if distinct < LEAST_READINGS:
        raise NotDeterminedError(
            f"The signal was read at {distinct} shifts; at least {LEAST_READINGS} are needed. "
            "Shift the mower to both sides of the wire and read at each."
        )
    if np.ptp(y) < max(3 * resolution, 0.05 * abs(y).max()):
        raise NotDeterminedError(
            f"The signal hardly changes over these shifts (by {np.ptp(y):g}). Shift further to "
            "both sides; if it stays as flat, this is not the field of a wire under the mower."
        )


def _best_fit(axis: Axis, x: Floats, y: Floats) -> Fit:
    """From two depths on, since a wrong one can hide the minimum; the best is kept."""
    reach = float(np.ptp(x))
    bounds = ([x.min() - reach, DEPTHS_MM[0], -np.inf], [x.max() + reach, DEPTHS_MM[1], np.inf])
    fits = []
    for share in (0.25, 0.75):
        depth = float(np.clip(share * reach, DEPTHS_MM[0] * 1.01, DEPTHS_MM[1] * 0.99))
        try:
            fits.append(
                fit_curve(
                    lambda shift, p: _signal(axis, shift, p),
                    lambda shift, p: _slope(axis, shift, p),
                    x,
                    y,
                    [*_start(axis, x, y, depth)],
                    bounds,
                    tolerance=1e-9,
                )
            )
        except NotDeterminedError:
            continue
    if not fits:
        raise NotDeterminedError(
            "No wire's field fits these readings. Take them again, one shift after the other, "
            "out to both sides."
        )
    return min(fits, key=lambda fit: fit.rss)


def _start(axis: Axis, x: Floats, y: Floats, depth: float) -> tuple[float, float, float]:
    peak = int(abs(y).argmax())
    if axis == "horizontal":
        return float(x[peak]), depth, float(y[peak])
    order = np.argsort(x, kind="stable")
    across, along = x[order], y[order]
    turns = np.flatnonzero(np.diff(np.sign(along)))
    middle = float(across[turns[0] : turns[0] + 2].mean()) if turns.size else float(x.mean())
    left = x[peak] < middle
    return middle, depth, float(2 * y[peak] * (1 if left else -1))


def _signal(axis: Axis, x: Floats, p: Floats) -> Floats:
    u, h = x - p[0], p[1]
    shape = h * h if axis == "horizontal" else -h * u
    return np.asarray(p[2] * shape / (u * u + h * h))


def _slope(axis: Axis, x: Floats, p: Floats) -> Floats:
    u, h, strength = x - p[0], p[1], p[2]
    squared = (u * u + h * h) ** 2
    if axis == "horizontal":
        columns = [2 * h * h * u, 2 * h * u * u]
    else:
        columns = [h * (h * h - u * u), u * (h * h - u * u)]
    per_strength = _signal(axis, x, np.array([p[0], h, 1.0]))
    return np.stack([*(strength * c / squared for c in columns), per_strength], axis=1)
