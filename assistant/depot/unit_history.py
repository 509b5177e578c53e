"""One mower over the years, from the index: its visits, what moved, which faults, which parts."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from sqlalchemy import Row, select

from assistant.depot.database import Depot
from assistant.depot.listed import SessionRow
from assistant.depot.listing import COLUMNS, row_of
from assistant.depot.summary import trade
from assistant.depot.tables import parts, readings, sessions
from assistant.diagnosis.history import Trend, Visit
from assistant.diagnosis.measured import REPAIR
from assistant.errors import ProfileError, UnknownNameError
from assistant.profile.schema import Where
from assistant.report.trend_picture import trends_by

MOST = 400
"""Visits shown; of a mower with more, the newest."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part put in, and at which visit."""

    part: str
    session: str
    opened: str


@dataclass(frozen=True, slots=True)
class UnitHistory:
    """``rows`` are its sessions, newest first. ``trends`` are the control charts of every label
    that a limit speaks of and three visits have read, by name; those that moved come first.
    ``causes`` count the visits that each cause (id, title) was likeliest at, ``parts`` are those
    put in, newest first."""

    unit: str
    rows: tuple[SessionRow, ...]
    trends: tuple[tuple[str, Trend], ...]
    causes: tuple[tuple[str, str, int], ...]
    parts: tuple[Fitted, ...]


def unit_history(depot: Depot, unit: str) -> UnitHistory:
    """All of a mower's visits; empty for a unit that was never here."""
    with depot.reading() as connection:
        newest = (
            select(*COLUMNS)
            .where(sessions.c.unit == unit)
            .order_by(sessions.c.opened.desc(), sessions.c.id.desc())
            .limit(MOST)
        )
        rows = tuple(row_of(row) for row in connection.execute(newest))
        since = rows[-1].opened if rows else ""
        measured = connection.execute(
            select(readings).where(
                readings.c.unit == unit, readings.c.opened >= since, readings.c.over_wire
            )
        ).all()
        fitted = connection.execute(
            select(parts.c.part, parts.c.session, parts.c.opened)
            .where(parts.c.unit == unit, parts.c.opened >= since)
            .order_by(parts.c.opened.desc(), parts.c.session, parts.c.entry)
        ).all()
    causes = Counter((row.cause, row.cause_title) for row in rows if row.cause)
    return UnitHistory(
        unit,
        rows,
        _trends(depot, rows, measured),
        tuple((cause, title, count) for (cause, title), count in causes.most_common()),
        tuple(Fitted(*row) for row in fitted),
    )


def _trends(
    depot: Depot, rows: Sequence[SessionRow], measured: Sequence[Row[tuple[object, ...]]]
) -> tuple[tuple[str, Trend], ...]:
    """By the profile of the newest visit; visits under another profile are not comparable."""
    if not rows:
        return ()
    try:
        profile, _ = trade(rows[0].profile, depot.store.home)
    except (ProfileError, UnknownNameError):
        return ()
    same = [(row, json.loads(row.context)) for row in measured if row.profile == rows[0].profile]
    return trends_by(partial(_visits, same), profile)


def _visits(
    measured: Sequence[tuple[Row[tuple[object, ...]], dict[str, str]]],
    quantity: str,
    position: str | None,
    when: Where,
) -> tuple[Visit, ...]:
    """As ``diagnosis.history.visits`` finds them in the sessions themselves."""
    found: dict[tuple[str, str, str], list[float]] = {}
    for row, context in measured:
        if (
            (row.quantity, row.position) == (quantity, position or "")
            and context.get(REPAIR, "before") == "before"
            and when.items() <= context.items()
        ):
            key = (row.opened, row.session, row.technician)
            found.setdefault(key, []).append(row.number)
    return tuple(
        Visit(session, opened, who, tuple(values))
        for (opened, session, who), values in sorted(found.items())
    )
