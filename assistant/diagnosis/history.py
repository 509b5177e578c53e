"""One mower over its visits, and one label among technicians.

A visit's number is the mean of what was read of the label in that session before any repair, so
that a chart shows how the mower comes in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from assistant.diagnosis.control_charts import Chart, ewma, individuals
from assistant.diagnosis.measured import phase_of, taken_at_shift
from assistant.diagnosis.statistics import Gauge, gauge_study, repeats
from assistant.errors import NotDeterminedError
from assistant.profile.schema import Where
from assistant.record.session import Session

LEARNED_FROM = 5
"""Visits from which the moving average learns where a healthy mower stands."""
WEIGHT = 0.3


@dataclass(frozen=True, slots=True)
class Visit:
    session: str
    opened: str
    who: str
    values: tuple[float, ...]

    @property
    def mean(self) -> float:
        return sum(self.values) / len(self.values)


@dataclass(frozen=True, slots=True)
class Trend:
    """``values`` and ``ranges`` chart the visits themselves; ``average`` is the EWMA, None while
    the first visits are too few or too alike to learn from."""

    visits: tuple[Visit, ...]
    values: Chart
    ranges: Chart
    average: Chart | None

    @property
    def moved(self) -> bool:
        charts = [self.values, self.ranges, *([self.average] if self.average else [])]
        return any(chart.out for chart in charts)


def visits(
    sessions: Iterable[Session],
    quantity: str,
    position: str | None = None,
    when: Where | None = None,
) -> tuple[Visit, ...]:
    """The sessions in the order they were opened in which the label was read in that context,
    over the wire and before a repair."""
    found = []
    for session in sorted(sessions, key=lambda s: s.opened):
        beside = {name for name, shift in taken_at_shift(session).items() if shift != 0}
        values = tuple(
            float(reading.value)
            for reading in session.judged
            if (reading.quantity, reading.position) == (quantity, position)
            and reading.value is not None
            and reading.id not in beside
            and phase_of(reading) == "before"
            and (when or {}).items() <= reading.context.items()
        )
        if values:
            found.append(Visit(session.id, session.opened, session.who, values))
    return tuple(found)


def trend(those: Sequence[Visit]) -> Trend:
    """Control charts over the visits. Raises NotDeterminedError for fewer than three."""
    means = [visit.mean for visit in those]
    values, ranges = individuals(means)
    average = None
    if len(means) > LEARNED_FROM:
        known = repeats(means[:LEARNED_FROM])
        if known.deviation > 0:
            wide = known.deviation * _widened(LEARNED_FROM)
            average = ewma(means[LEARNED_FROM:], known.mean.value, wide, WEIGHT)
    return Trend(tuple(those), values, ranges, average)


def _widened(count: int) -> float:
    """What few visits cost: the handbook's limits take centre and scatter as known. From
    ``count`` visits the centre is itself uncertain, and three standard deviations become the
    point of Student's t that is passed as seldom."""
    from scipy import stats

    seldom = float(stats.t.isf(stats.norm.sf(3), count - 1)) / 3
    return seldom * sqrt(1 + (2 - WEIGHT) / (WEIGHT * count))


def technicians(those: Iterable[Visit]) -> Gauge:
    """How much readings differ between technicians who read the same thing equally often. Raises
    NotDeterminedError, which says what is needed, when they did not."""
    by_name: dict[str, list[float]] = {}
    for visit in those:
        by_name.setdefault(visit.who, []).extend(visit.values)
    if any(len(values) < 2 for values in by_name.values()):
        raise NotDeterminedError("Each technician must read the label twice or more.")
    return gauge_study(list(by_name.values()))
