"""Where the wire lies, as a picture for the page: the readings and the fitted curve, and below it
the wire under the mower, seen from above and true to scale.

As in the picture of front against rear, front is a filled disc and rear a hollow square.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from assistant.diagnosis.survey import Survey, surveys
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.report.inline_svg import INK, bare, drawing
from assistant.speaking.label import context_words

WIDTH, HEIGHT = 5.2, 7.1
HALF_MOWER_MM = 190.0
"""Half the width of the mower as drawn; no machine's."""
ROOM_MM = 470.0
"""What is drawn on either side of the middle line, the words beside the mower included."""
MARKS: dict[str | None, dict[str, Any]] = {
    "front": {"marker": "o", "color": INK, "markersize": 8},
    "rear": {
        "marker": "s",
        "color": INK,
        "markerfacecolor": "none",
        "markersize": 9,
    },
}


def field_picture(session: Session, profile: Profile, title: str) -> str:
    """The SVG element; "" where no survey was taken that determines the wire's place. Of several
    surveys of one sensor the last is drawn."""
    rule = next((r for r in profile.computed if r.calculation == "wire_field"), None)
    if rule is None:
        return ""
    done = surveys(session, profile, rule.takes["signal"], rule.when)
    found = {survey.place.position: survey for survey in done if survey.found}
    if not found:
        return ""
    with drawing(WIDTH, HEIGHT, title) as made:
        above, below = made.figure.subplots(2, 1, height_ratios=[3, 4.2])
        reach = max(HALF_MOWER_MM, *(abs(x) for s in found.values() for x in s.shifts)) * 1.1
        _draw_signals(above, found, reach)
        _draw_plan(below, found, profile.constants.get("sensor_spacing_mm", 0.0))
        above.set_xlabel("sideways, mm (right is positive)", color=INK)
        above.set_xlim(-reach, reach)
        bare(above, "left", "bottom")
        last = list(found.values())[-1].place
        words = ", ".join(context_words(profile, dict(last.context), dict(last.context)))
        above.set_title(words, loc="left", fontsize=11, color=INK)
        beside = {"loc": "outside upper right", "ncols": 2, "frameon": False}
        made.figure.legend(labelcolor=INK, **beside)
    return made.svg


def _draw_signals(axes: Any, found: dict[str | None, Survey], reach: float) -> None:
    shifts = np.linspace(-reach, reach, 200)
    for position, survey in found.items():
        assert survey.found is not None
        mark = MARKS.get(position, MARKS["front"])
        dashed = "--" if position == "rear" else "-"
        axes.plot(survey.shifts, survey.signals, linestyle="none", label=position or "", **mark)
        axes.plot(shifts, survey.found.curve(shifts), dashed, color=INK, linewidth=1.2)
        axes.axvspan(*survey.found.offset.interval, color=INK, alpha=0.18, linewidth=0)
        axes.axvline(survey.found.offset.value, color=INK, linewidth=1, linestyle=dashed)
    axes.set_ylabel("signal", color=INK)


def _draw_plan(axes: Any, found: dict[str | None, Survey], spacing: float) -> None:
    """Ahead is up. Two sensors give the wire's line, one only its place below that sensor."""
    along = {"front": spacing / 2, "rear": -spacing / 2}
    half = max(spacing / 2 + 90, 150)
    across = [-HALF_MOWER_MM, HALF_MOWER_MM, HALF_MOWER_MM, -HALF_MOWER_MM, -HALF_MOWER_MM]
    axes.plot(across, [-half, -half, half, half, -half], color=INK, linewidth=1)
    axes.plot([0, 0], [-half, half], color=INK, linewidth=0.8, linestyle=":")
    places = []
    for position, survey in found.items():
        assert survey.found is not None
        y, offset = along.get(str(position), 0.0), survey.found.offset
        axes.plot(0, y, linestyle="none", **MARKS.get(position, MARKS["front"]))
        axes.plot(offset.interval, [y, y], color=INK, linewidth=5, alpha=0.3)
        right = offset.value >= 0
        axes.text(
            (HALF_MOWER_MM + 15) * (1 if right else -1),
            y,
            f"{position or ''} {abs(offset.value):.0f} mm {'right' if right else 'left'}".strip(),
            ha="left" if right else "right",
            va="center",
            fontsize=13,
            color=INK,
        )
        places.append((y, offset.value))
    ends = np.array([-half * 1.15, half * 1.15])
    line = np.full(2, places[0][1])
    if len(places) == 2 and places[0][0] != places[1][0]:
        (y1, x1), (y2, x2) = places
        line = x1 + (x2 - x1) * (ends - y1) / (y2 - y1)
    axes.plot(line, ends, color=INK, linewidth=3)
    free = 1 if places[0][1] < 0 else -1  # the side where the wire is not
    axes.annotate(
        "ahead",
        (free * HALF_MOWER_MM, half),
        xytext=(0, 3),
        textcoords="offset points",
        ha="right" if free > 0 else "left",
        color=INK,
    )
    axes.set_aspect("equal")
    axes.set_xlim(-ROOM_MM, ROOM_MM)
    axes.set_axis_off()
