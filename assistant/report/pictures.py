"""The pictures that a session has, each with its title and how it is read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from assistant.report.contents import Report
from assistant.report.facing_picture import facing, facing_legend, facing_picture, facing_title
from assistant.report.field_picture import field_picture
from assistant.report.trend_picture import trend_picture

WIRE, VISITS = "Where the wire lies", "Over the visits"


class Picture(NamedTuple):
    """``svg`` is an element made of numbers and of words that matplotlib escapes."""

    title: str
    svg: str
    legend: str


def pictures(report: Report) -> tuple[Picture, ...]:
    """Only those that the session's readings, and the unit's visits, are enough for."""
    return tuple(picture for picture in _all(report) if picture.svg)


def _all(report: Report) -> Iterator[Picture]:
    session, profile = report.session, report.profile
    machine = profile.profile.machine
    if rows := facing(session, profile):
        title = facing_title(profile)
        yield Picture(title, facing_picture(rows, title), facing_legend(profile))
    yield Picture(
        WIRE,
        field_picture(session, profile, WIRE),
        "Above: the signal at each sideways shift, and the curve of one straight wire fitted to "
        "it; the shaded band is where the wire lies, 95 % sure. Below: the "
        f"{machine} seen from above, the wire under it, to scale; its outline is no machine's. "
        "Filled disc: front. Hollow square, broken curve: rear.",
    )
    yield Picture(
        VISITS,
        trend_picture(report.visits, profile, VISITS),
        f"Each point is a visit before any repair. The band is where this {machine}'s own scatter "
        "from visit to visit keeps it; a ring marks a visit outside, or a leap since the visit "
        "before. Broken line: moving average, which shows a slow drift.",
    )
