"""Which readings of a long session still count: the last few of each label in each context.

A verdict rests on the latest reading of its place, statistics on its repeats. What lies further
back tells nothing more of the mower as it is, and judging it anew after every reading would make
the assistant slower from hour to hour.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.measured import SHIFT
from assistant.record.session import Reading, Session

MOST_REPEATS = 12
"""A technician repeats a reading three to five times; the mean of twelve is known to within
two thirds of their scatter (Student's t, 95 %)."""


def lately(session: Session) -> Session:
    """The session with the last MOST_REPEATS readings of each label in each context, and with
    every sideways shift, since it says where the signals after it were taken."""
    if len(session.readings) <= MOST_REPEATS:
        return session
    seen: dict[object, int] = {}
    kept: list[Reading] = []
    for reading in reversed(session.readings):
        context = tuple(reading.context.items())
        key = reading.quantity, reading.position, context, reading.status, reading.missing
        seen[key] = count = seen.get(key, 0) + 1
        if count <= MOST_REPEATS or reading.quantity == SHIFT:
            kept.append(reading)
    return replace(session, readings=tuple(reversed(kept)))
