"""Progress over weeks: marks, minutes against the best order, what is due, and how near a
trainee's repeated readings come to the reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from assistant.diagnosis.statistics import Gauge, gauge_study
from assistant.practice.log import Practised
from assistant.practice.marks import PASS

LEAST_TIMES = 2


@dataclass(frozen=True, slots=True)
class Week:
    """``begins`` is its Monday; ``over`` the mean share of minutes beyond the best order's, None
    where no fault was looked for."""

    begins: date
    count: int
    marks: float
    passed: int
    over: float | None


@dataclass(frozen=True, slots=True)
class Repeated:
    """One label of one exercise read ``times`` times. ``bias`` is the trainee's mean less the
    reference, ``gauge`` the study of the two side by side."""

    exercise: str
    label: str
    times: int
    bias: float
    gauge: Gauge


def weeks(log: Sequence[Practised]) -> tuple[Week, ...]:
    """Weeks in which something was practised, the oldest first; days are those of the log's own
    time zone."""
    by_week: dict[date, list[Practised]] = {}
    for one in log:
        day = one.at.date()
        by_week.setdefault(day - timedelta(days=day.weekday()), []).append(one)
    return tuple(_week(begins, mine) for begins, mine in sorted(by_week.items()))


def _week(begins: date, mine: Sequence[Practised]) -> Week:
    over = [
        one.minutes / one.best_minutes - 1
        for one in mine
        if one.minutes is not None and one.best_minutes
    ]
    return Week(
        begins,
        len(mine),
        sum(one.marks for one in mine) / len(mine),
        sum(one.marks >= PASS for one in mine),
        sum(over) / len(over) if over else None,
    )


def repeated(log: Sequence[Practised]) -> tuple[Repeated, ...]:
    """Every label that was read twice or more of the same thing, the worst first. The reference
    reads as often as the trainee and always the same, so that what scatters is the trainee's."""
    found: dict[tuple[str, str, str], list[float]] = {}
    for one in log:
        for label, wanted, got in one.pairs:
            found.setdefault((one.exercise, label, wanted), []).append(float(got))
    rows = []
    for (exercise, label, wanted), values in found.items():
        if len(values) < LEAST_TIMES:
            continue
        reference = [float(wanted)] * len(values)
        bias = sum(values) / len(values) - float(wanted)
        found_gauge = gauge_study([reference, values])
        gauge = Gauge(  # without the last bits of the arithmetic
            round(found_gauge.repeatability, 6), round(found_gauge.between_technicians, 6)
        )
        rows.append(Repeated(exercise, label, len(values), round(bias, 6), gauge))
    return tuple(sorted(rows, key=lambda row: -row.gauge.together))
