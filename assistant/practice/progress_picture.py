"""Progress as a picture for a page or a file: every exercise a mark, each week's mean a line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time

from assistant.practice.exercise import KIND_WORDS, Kind
from assistant.practice.log import Practised
from assistant.practice.marks import PASS
from assistant.practice.progress import weeks
from assistant.report.inline_svg import INK, bare, drawing

SHAPES: dict[Kind, str] = {"listen": "o", "dictate": "s", "find_fault": "^"}
MOST_TICKS = 6


def progress_picture(log: Sequence[Practised], title: str) -> str:
    """The SVG element; "" while nothing was practised. Shapes, not colours, tell the kinds."""
    if not log:
        return ""
    with drawing(5.2, 3.2, title) as made:
        axes = made.figure.add_subplot()
        axes.axhline(PASS, color=INK, linewidth=0.8, linestyle=":")
        for kind, shape in SHAPES.items():
            mine = [one for one in log if one.kind == kind]
            if mine:
                axes.plot(
                    [_days(one.at, log) for one in mine],
                    [one.marks for one in mine],
                    shape,
                    color=INK,
                    markerfacecolor="none",
                    markersize=7,
                    label=KIND_WORDS[kind],
                )
        means = weeks(log)
        zone = log[0].at.tzinfo
        mondays = [_days(datetime.combine(w.begins, time(), zone), log) for w in means]
        middles = [monday + 3.5 for monday in mondays]
        axes.plot(middles, [w.marks for w in means], "-_", color=INK, label="week's mean")
        axes.set_ylim(0, 104)
        axes.set_ylabel("marks of 100", color=INK)
        step = -(-len(mondays) // MOST_TICKS)
        axes.set_xticks(mondays[::step], [f"{w.begins:%d %b}" for w in means[::step]])
        bare(axes, "left", "bottom")
        above = {"loc": "outside upper left", "ncols": 2, "frameon": False}
        made.figure.legend(labelcolor=INK, fontsize=10, **above)
    return made.svg


def _days(at: datetime, log: Sequence[Practised]) -> float:
    """Since the first of the log."""
    return (at - log[0].at).total_seconds() / 86400
