"""Statistics of repeated readings: mean and interval, outliers, before against after, gauges.

Section numbers are those of the NIST/SEMATECH e-Handbook of Statistical Methods.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

import numpy as np

from assistant.diagnosis.estimate import Estimate
from assistant.errors import NotDeterminedError


@dataclass(frozen=True, slots=True)
class Repeats:
    """``mean`` with its 95 % interval; ``deviation`` is the sample standard deviation."""

    count: int
    mean: Estimate
    deviation: float


@dataclass(frozen=True, slots=True)
class Outlier:
    """Grubbs' test: the reading furthest from the mean, how far in standard deviations, and from
    where on that is too far. ``index`` counts from 0."""

    index: int
    distance: float
    critical: float

    @property
    def out(self) -> bool:
        return self.distance > self.critical


@dataclass(frozen=True, slots=True)
class Change:
    """A difference of two means: Student's ``t`` with ``freedom`` and the two-sided chance
    ``p`` of one as large when nothing changed; ``difference`` is before less after."""

    difference: Estimate
    t: float
    freedom: float
    p: float


def repeats(values: Sequence[float], level: float = 0.95) -> Repeats:
    """1.3.5.2. Two passes, since one pass loses all digits of a small scatter on a large mean.
    Raises NotDeterminedError for fewer than two."""
    data = _at_least(2, values)
    mean = float(data.mean())
    deviation = float(np.sqrt(((data - mean) ** 2).sum() / (data.size - 1)))
    return repeats_from(data.size, mean, deviation, level)


def repeats_from(count: int, mean: float, deviation: float, level: float = 0.95) -> Repeats:
    """As ``repeats``, from what is known of earlier readings."""
    half = _student((1 + level) / 2, count - 1) * deviation / sqrt(count)
    return Repeats(count, Estimate(mean, half), deviation)


def grubbs(values: Sequence[float], risk: float = 0.05, sides: int = 2) -> Outlier:
    """1.3.5.17.1. ``sides`` 1 asks only for an outlier on the side where the furthest lies.
    Raises NotDeterminedError for fewer than three, or when all are alike."""
    data = _at_least(3, values)
    found = repeats(values)
    if found.deviation == 0:
        raise NotDeterminedError("All readings are alike: take a few more to see an outlier.")
    away = abs(data - found.mean.value)
    n = data.size
    t = _student(1 - risk / (sides * n), n - 2)
    critical = (n - 1) / sqrt(n) * sqrt(t**2 / (n - 2 + t**2))
    index = int(away.argmax())
    return Outlier(index, float(away[index] / found.deviation), critical)


def change(before: Repeats, after: Repeats, pooled: bool = False, level: float = 0.95) -> Change:
    """Before less after (1.3.5.3). Each side has its own scatter (Welch), or with ``pooled`` both
    share one (Student). Raises NotDeterminedError when neither scatters."""
    from scipy import stats

    n1, n2 = before.count, after.count
    v1, v2 = before.deviation**2 / n1, after.deviation**2 / n2
    if v1 + v2 == 0:
        raise NotDeterminedError(
            "Neither side scatters at all, so that how sure the change is can't be said: read the "
            "finest digit that the display gives."
        )
    error = sqrt(v1 + v2)
    freedom = (v1 + v2) ** 2 / (v1**2 / (n1 - 1) + v2**2 / (n2 - 1))
    if pooled:
        freedom = n1 + n2 - 2
        squares = (n1 - 1) * before.deviation**2 + (n2 - 1) * after.deviation**2
        error = sqrt(squares / freedom * (1 / n1 + 1 / n2))
    fall = before.mean.value - after.mean.value
    half = _student((1 + level) / 2, freedom) * error
    p = float(2 * stats.t.sf(abs(fall / error), freedom))
    return Change(Estimate(fall, half), fall / error, freedom, p)


@dataclass(frozen=True, slots=True)
class Analysis:
    """One-way analysis of variance: sums of squares in total and within groups, F, its chance."""

    total: float
    within: float
    f: float
    p: float
    within_deviation: float


def one_way(groups: Sequence[Sequence[float]]) -> Analysis:
    """7.4.3: do the groups' means differ by more than their scatter explains."""
    from scipy import stats

    data = [_at_least(2, group) for group in groups]
    every = np.concatenate(data)
    centre = every.mean()
    total = float(((every - centre) ** 2).sum())
    within = float(sum(((g - g.mean()) ** 2).sum() for g in data))
    between = float(sum(g.size * (g.mean() - centre) ** 2 for g in data))
    above, below = len(data) - 1, every.size - len(data)
    f = between / above / (within / below)
    return Analysis(total, within, f, float(stats.f.sf(f, above, below)), sqrt(within / below))


def added_deviation(upper: float, lower: float, repeats_each: int) -> float:
    """2.6.1: what one level (days, or technicians) adds to the scatter of the level below it:
    ``upper`` is the standard deviation of that level's means, each of ``repeats_each`` readings
    that scatter by ``lower``. 0 when the means scatter no more than their readings explain."""
    return sqrt(max(0.0, upper**2 - lower**2 / repeats_each))


@dataclass(frozen=True, slots=True)
class Gauge:
    """How much of the readings' scatter is the repeat's (one technician, again and again) and how
    much comes with the technician; both standard deviations."""

    repeatability: float
    between_technicians: float

    @property
    def together(self) -> float:
        return sqrt(self.repeatability**2 + self.between_technicians**2)


def gauge_study(by_technician: Sequence[Sequence[float]]) -> Gauge:
    """One label read by several technicians, each equally often. Raises NotDeterminedError for
    fewer than two technicians or unequal counts."""
    if len(by_technician) < 2 or len({len(group) for group in by_technician}) != 1:
        raise NotDeterminedError(
            "A gauge study needs two technicians or more, each with as many readings of one thing."
        )
    within = one_way(by_technician).within_deviation
    upper = repeats([float(np.mean(group)) for group in by_technician]).deviation
    return Gauge(within, added_deviation(upper, within, len(by_technician[0])))


@lru_cache(maxsize=1000)
def _student(share: float, freedom: float) -> float:
    """The quantile of Student's t; the same few are asked for after every reading."""
    from scipy import stats

    return float(stats.t.ppf(share, freedom))


def _at_least(least: int, values: Sequence[float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    if len(values) < least:
        raise NotDeterminedError(
            f"{len(values)} readings tell no scatter: take at least {least} of the same label in "
            "the same context."
        )
    return np.array(values, dtype=np.float64)
