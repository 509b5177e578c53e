"""One mower over its visits, as control charts for the page: what has begun to move comes first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from assistant.diagnosis.history import Trend, Visit, trend, visits
from assistant.errors import NotDeterminedError
from assistant.profile.schema import Profile, Tolerance, Where
from assistant.record.session import Session
from assistant.report.inline_svg import INK, bare, drawing
from assistant.speaking.label import context_words, shown_label

WIDTH, ROW = 5.2, 1.9
MOST_DRAWN = 4


def trends(sessions: Sequence[Session], profile: Profile) -> tuple[tuple[str, Trend], ...]:
    """Every label and context that a limit of the profile speaks of and that three visits or more
    have read, with its name; those that moved come first."""
    return trends_by(lambda *label: visits(sessions, *label), profile)


def trends_by(
    visits_of: Callable[[str, str | None, Where], Sequence[Visit]], profile: Profile
) -> tuple[tuple[str, Trend], ...]:
    """The same from wherever the visits of a label in a context are kept."""
    found: dict[str, Trend] = {}
    for rule in profile.tolerance:
        for position in _positions(rule, profile):
            where = ", ".join(context_words(profile, rule.when, rule.when))
            name = shown_label(profile, rule.quantity, position)
            name = f"{name}, {where}" if where else name
            if name in found:
                continue
            try:
                found[name] = trend(visits_of(rule.quantity, position, rule.when))
            except NotDeterminedError:
                continue
    return tuple(sorted(found.items(), key=lambda item: not item[1].moved))


def trend_picture(sessions: Sequence[Session], profile: Profile, title: str) -> str:
    """The SVG element of at most four charts; "" while no label has three visits."""
    return picture(trends(sessions, profile)[:MOST_DRAWN], title)


def picture(rows: Sequence[tuple[str, Trend]], title: str) -> str:
    """The SVG element of these charts, by name; "" for none."""
    if not rows:
        return ""
    with drawing(WIDTH, 0.3 + ROW * len(rows), title) as made:
        panels = made.figure.subplots(len(rows), 1, squeeze=False)[:, 0]
        for axes, (name, told) in zip(panels, rows, strict=True):
            _draw(axes, name, told)
    return made.svg


def _draw(axes: Any, name: str, told: Trend) -> None:
    chart, at = told.values, range(len(told.visits))
    axes.axhspan(chart.lower, chart.upper, color=INK, alpha=0.1, linewidth=0)
    axes.axhline(chart.centre, color=INK, linewidth=0.8, linestyle=":")
    axes.plot(at, chart.points, color=INK, linewidth=1, marker="o", markersize=6)
    for i in {*chart.out, *(i + 1 for i in told.ranges.out)}:
        axes.plot(i, chart.points[i], "o", color=INK, markersize=14, markerfacecolor="none")
    if told.average:
        learned = len(told.visits) - len(told.average.points)
        axes.plot(at[learned:], told.average.points, color=INK, linewidth=2.2, linestyle="--")
    verdict = "has moved" if told.moved else "within its scatter"
    axes.set_title(f"{name}: {verdict}", loc="left", fontsize=11, color=INK)
    days = [visit.opened[:10] for visit in told.visits]
    ends = (0, len(days) - 1)
    axes.set_xticks(ends, [days[i] for i in ends])
    axes.set_xlim(-0.5, len(days) - 0.5)
    low, high = min(chart.lower, *chart.points), max(chart.upper, *chart.points)
    room = 0.15 * (high - low) or 0.1 * abs(high) or 1.0
    axes.set_ylim(low - room, high + room)
    bare(axes, "left", "bottom")


def _positions(rule: Tolerance, profile: Profile) -> Iterator[str | None]:
    if rule.position:
        yield rule.position
        return
    quantity = next(q for q in profile.quantity if q.id == rule.quantity)
    yield from quantity.positions or (None,)
