"""Control charts over one mower's visits: has this number begun to move?

Each chart takes values in the order of the visits and gives the line drawn, its limits, and the
visits that are out. Section numbers are those of the NIST/SEMATECH e-Handbook.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from assistant.errors import NotDeterminedError

D2, D4 = 1.128, 3.267
"""Mean range of two normal values in standard deviations, and the upper limit of a range of two
in mean ranges (6.3.2.2)."""


@dataclass(frozen=True, slots=True)
class Chart:
    """``points`` are what is drawn, one for each visit; ``out`` the indices (from 0) beyond the
    limits. Values that are all alike leave no room between the limits, and none is out."""

    points: tuple[float, ...]
    centre: float
    lower: float
    upper: float

    @property
    def out(self) -> tuple[int, ...]:
        rounding = 1e-9 * max(abs(self.lower), abs(self.upper), abs(self.centre))
        low, high = self.lower - rounding, self.upper + rounding
        return tuple(i for i, p in enumerate(self.points) if not low <= p <= high)


def individuals(values: Sequence[float]) -> tuple[Chart, Chart]:
    """6.3.2.2: the values, and the moving ranges from each visit to the next."""
    ranges = [abs(b - a) for a, b in pairwise(values)]
    if len(ranges) < 2:
        raise NotDeterminedError("A chart needs three visits or more with this reading.")
    centre, mean_range = sum(values) / len(values), sum(ranges) / len(ranges)
    reach = 3 * mean_range / D2
    return (
        Chart(tuple(values), centre, centre - reach, centre + reach),
        Chart(tuple(ranges), mean_range, 0.0, D4 * mean_range),
    )


def ewma(values: Sequence[float], start: float, deviation: float, weight: float = 0.3) -> Chart:
    """6.3.2.4: exponentially weighted moving average from ``start`` (the mean of earlier visits,
    whose standard deviation is ``deviation``); finds small lasting shifts."""
    points, level = [], start
    for value in values:
        level = weight * value + (1 - weight) * level
        points.append(level)
    reach = 3 * deviation * sqrt(weight / (2 - weight))
    return Chart(tuple(points), start, start - reach, start + reach)


@dataclass(frozen=True, slots=True)
class Cusum:
    """Sums of what goes beyond the slack above and below the target; ``signals`` are the indices
    (from 0) at which a sum is beyond the limit."""

    high: tuple[float, ...]
    low: tuple[float, ...]
    limit: float

    @property
    def signals(self) -> tuple[int, ...]:
        both = zip(self.high, self.low, strict=True)
        return tuple(i for i, pair in enumerate(both) if max(pair) > self.limit)


def cusum(values: Sequence[float], target: float, slack: float, limit: float) -> Cusum:
    """6.3.2.3: tabular cumulative sums; ``slack`` (k) and ``limit`` (h) in the values' unit."""
    high, low = [0.0], [0.0]
    for value in values:
        high.append(max(0.0, high[-1] + value - target - slack))
        low.append(max(0.0, low[-1] + target - slack - value))
    return Cusum(tuple(high[1:]), tuple(low[1:]), limit)


def s_chart_limit(deviation: float, of_each: int, freedom: int, risk: float = 0.05) -> float:
    """2.6.2: largest standard deviation of ``of_each`` repeats that still fits a check standard
    known with ``deviation`` from ``freedom`` degrees."""
    from scipy import stats

    return deviation * sqrt(float(stats.f.ppf(1 - risk, of_each - 1, freedom)))
