"""A control chart as places on a page: each visit a point that leads to its session."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.diagnosis.history import Trend
from assistant.diagnosis.reasons import signed

WIDTH, HEIGHT = 640, 210
LEFT, RIGHT, TOP, BOTTOM = 58, 14, 14, 30


@dataclass(frozen=True, slots=True)
class Point:
    """``out``: beyond the limits, or a leap from the visit before."""

    x: float
    y: float
    session: str
    words: str
    out: bool


@dataclass(frozen=True, slots=True)
class ControlPicture:
    """Everything in the units of the drawing. ``average`` is the moving average as SVG points,
    "" while the visits are too few to learn from; ``ticks`` are the three numbers beside it."""

    title: str
    moved: bool
    points: tuple[Point, ...]
    line: str
    average: str
    lower: float
    centre: float
    upper: float
    ticks: tuple[tuple[float, str], ...]
    first: str
    last: str
    words: str


def control_picture(title: str, told: Trend) -> ControlPicture:
    """``told.values`` drawn with its limits, and the moving average over it."""
    chart = told.values
    average = told.average.points if told.average else ()
    drawn = (*chart.points, *average, chart.lower, chart.upper)
    low, high = min(drawn), max(drawn)
    room = (high - low) * 0.06 or 1.0
    low, high = low - room, high + room
    count = len(told.visits)

    def x(index: int) -> float:
        step = (WIDTH - LEFT - RIGHT) / max(count - 1, 1)
        return round(LEFT + index * step, 1)

    def y(value: float) -> float:
        return round(TOP + (high - value) / (high - low) * (HEIGHT - TOP - BOTTOM), 1)

    out = {*chart.out, *(i + 1 for i in told.ranges.out)}
    points = tuple(
        Point(x(i), y(value), visit.session, f"{visit.opened[:10]}: {shown(value)}", i in out)
        for i, (visit, value) in enumerate(zip(told.visits, chart.points, strict=True))
    )
    learned = count - len(average)
    last = chart.points[-1]
    return ControlPicture(
        title=title,
        moved=told.moved,
        points=points,
        line=" ".join(f"{p.x},{p.y}" for p in points),
        average=" ".join(f"{x(learned + i)},{y(v)}" for i, v in enumerate(average)),
        lower=y(chart.lower),
        centre=y(chart.centre),
        upper=y(chart.upper),
        ticks=tuple((y(v), shown(v)) for v in (chart.upper, chart.centre, chart.lower)),
        first=told.visits[0].opened[:10],
        last=told.visits[-1].opened[:10],
        words=(
            f"{count} visits, mean {shown(chart.centre)}, own scatter from {shown(chart.lower)} to "
            f"{shown(chart.upper)}, last {shown(last)}"
        ),
    )


def shown(value: float) -> str:
    """
    >>> shown(-64.96), shown(12.5), shown(0.04)
    ('−65', '12.5', '0.04')
    """
    digits = 0 if abs(value) >= 30 else 1 if abs(value) >= 3 else 2
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return signed("0" if text == "-0" else text)
