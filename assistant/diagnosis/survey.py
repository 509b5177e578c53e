"""Surveys: the signals read at sideways shifts, gathered by sensor and fitted.

A survey needs no command of its own: a ``wire_shift`` reading followed by a signal is a point.
All readings count, repeats too, since they tell the scatter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from assistant.diagnosis.field import Axis
from assistant.diagnosis.measured import Place, applies, place_of, taken_at_shift
from assistant.diagnosis.wire_position import WirePosition, locate_wire
from assistant.errors import NotDeterminedError
from assistant.profile.schema import Profile, Where
from assistant.record.session import Session

AXES: dict[float, Axis] = {0.0: "horizontal", 90.0: "vertical"}


@dataclass(frozen=True, slots=True)
class Survey:
    """``shifts`` in mm and ``signals`` in counts, point by point with the ids of the signals'
    readings. ``found`` is the fit; None with ``refusal`` saying what to measure instead."""

    place: Place
    ids: tuple[str, ...]
    shifts: tuple[float, ...]
    signals: tuple[float, ...]
    found: WirePosition | None
    refusal: str = ""


_locate = lru_cache(maxsize=64)(locate_wire)
"""A session is diagnosed after every reading, and most readings leave the surveys as they are."""


def surveys(
    session: Session, profile: Profile, signal: str = "guide_signal", when: Where | None = None
) -> Iterator[Survey]:
    """One for each sensor and context in which a signal was read at two shifts or more."""
    at = taken_at_shift(session)
    points: dict[Place, list[tuple[str, float, float]]] = {}
    for reading in session.judged:
        known = reading.quantity == signal and reading.id in at and reading.number is not None
        if known and applies(when or {}, reading.context) == "yes":
            point = (reading.id, float(at[reading.id]), float(reading.number or 0))
            points.setdefault(place_of(profile, reading), []).append(point)
    axis = AXES.get(profile.constants.get("sensor_coil_axis_degrees", -1.0))
    for place, rows in points.items():
        ids, shifts, signals = zip(*rows, strict=True)
        if len(set(shifts)) < 2:
            continue
        try:
            found, refusal = _locate(shifts, signals, axis), ""
        except NotDeterminedError as error:
            found, refusal = None, str(error)
        yield Survey(place, ids, shifts, signals, found, refusal)
