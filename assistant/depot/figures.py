"""The depot in figures: which faults, which mowers, how long, how often the first repair holds."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, case, func, select

from assistant.depot.database import Depot
from assistant.depot.days import day_asked
from assistant.depot.tables import parts, sessions

RETURN_DAYS = 30
"""A mower that is back with something wrong within so many days was not fixed the first time
(common practice, no source)."""
WRONG = ("faulty", "unproven", "proven")
"""Outcomes of sessions in which something was wrong."""
_MOST = 20


@dataclass(frozen=True, slots=True)
class Named:
    """A fault, mower or part and how often; ``minutes`` is the mean labour said, None where none
    was."""

    id: str
    title: str
    count: int
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Figures:
    """From ``since`` to ``until`` (dates, both included; "" for all). ``units`` count visits with
    something wrong. ``minutes`` is the mean labour, over the ``timed`` sessions in which it was
    said, ``lasted`` the mean from opening to close. ``first_time`` of ``repaired`` repairs were
    proven and the mower was not back with something wrong within 30 days; ``too_new`` repairs
    are not counted yet, since those days are not over."""

    since: str
    until: str
    sessions: int
    needing: int
    causes: tuple[Named, ...]
    units: tuple[Named, ...]
    parts: tuple[Named, ...]
    minutes: float | None
    timed: int
    lasted: float | None
    repaired: int
    first_time: int
    too_new: int

    @property
    def first_time_rate(self) -> float | None:
        """0…1; None while there is no repair to judge."""
        return self.first_time / self.repaired if self.repaired else None


def depot_figures(depot: Depot, since: str = "", until: str = "", today: str = "") -> Figures:
    """``today`` is the date up to which the depot's sessions are known, by default that of the
    newest one. Raises UnknownNameError for what is no date."""
    within = [sessions.c.chain == "whole"]
    fitted: list[ColumnElement[bool]] = []
    begin, end = (day_asked(text) if text else None for text in (since, until))
    for column, wheres in ((sessions.c.day, within), (parts.c.day, fitted)):
        if begin is not None:
            wheres.append(column >= begin)
        if end is not None:
            wheres.append(column <= end)
    with depot.reading() as connection:
        newest = connection.scalar(select(func.max(sessions.c.day))) or 0
        last = day_asked(today) if today else newest
        total = connection.execute(
            select(
                func.count(),
                func.sum(case((sessions.c.attention > 0, 1), else_=0)),
                func.avg(sessions.c.minutes),
                func.count(sessions.c.minutes),
                func.avg(sessions.c.lasted),
            ).where(*within)
        ).one()
        repaired, first_time, too_new = _repairs(connection, begin, end, last)
        return Figures(
            since=since,
            until=until,
            sessions=total[0],
            needing=total[1] or 0,
            causes=_causes(connection, within),
            units=_units(connection, [*within, sessions.c.outcome.in_(WRONG)]),
            parts=_parts(connection, fitted),
            minutes=total[2],
            timed=total[3],
            lasted=total[4],
            repaired=repaired,
            first_time=first_time,
            too_new=too_new,
        )


def _causes(connection: Connection, wheres: list[ColumnElement[bool]]) -> tuple[Named, ...]:
    count = func.count().label("count")
    query = (
        select(sessions.c.cause, count, func.avg(sessions.c.minutes))
        .where(*wheres, sessions.c.cause != "")
        .group_by(sessions.c.cause)
        .order_by(count.desc(), sessions.c.cause)
        .limit(_MOST)
    )
    return tuple(
        Named(cause, _title(connection, cause), number, minutes)
        for cause, number, minutes in connection.execute(query).all()
    )


def _title(connection: Connection, cause: str) -> str:
    query = select(sessions.c.cause_title).where(sessions.c.cause == cause)
    newest = query.order_by(sessions.c.opened.desc(), sessions.c.id.desc()).limit(1)
    return connection.scalar(newest) or cause


def _units(connection: Connection, wheres: list[ColumnElement[bool]]) -> tuple[Named, ...]:
    count = func.count().label("count")
    query = (
        select(sessions.c.unit, sessions.c.unit, count, func.avg(sessions.c.minutes))
        .where(*wheres, sessions.c.unit != "")
        .group_by(sessions.c.unit)
        .order_by(count.desc(), sessions.c.unit)
        .limit(_MOST)
    )
    return tuple(Named(*row) for row in connection.execute(query))


def _parts(connection: Connection, wheres: list[ColumnElement[bool]]) -> tuple[Named, ...]:
    count = func.count().label("count")
    query = (
        select(parts.c.part, parts.c.part, count)
        .where(*wheres)
        .group_by(parts.c.part)
        .order_by(count.desc(), parts.c.part)
        .limit(_MOST)
    )
    return tuple(Named(*row) for row in connection.execute(query))


def _repairs(
    connection: Connection, since: int | None, until: int | None, last: int
) -> tuple[int, int, int]:
    """Repairs to judge, those that held, and those too new to judge. A repair that is not proven
    has not held, however new it is."""
    wheres = [sessions.c.chain == "whole", sessions.c.outcome.in_(WRONG)]
    if since is not None:
        wheres.append(sessions.c.day >= since)
    if until is not None:
        wheres.append(sessions.c.day <= until + RETURN_DAYS)
    # One mower's wrong sessions in order: the next one after a repair is its coming back. Those
    # whose unit was not named are nobody's return.
    next_day = func.lead(sessions.c.day).over(
        partition_by=(sessions.c.unit, case((sessions.c.unit == "", sessions.c.opened), else_="")),
        order_by=sessions.c.opened,
    )
    told = select(sessions.c.day, sessions.c.outcome, next_day.label("next_day")).where(*wheres)
    visit = told.subquery()
    proven = visit.c.outcome == "proven"
    back = func.coalesce(visit.c.next_day <= visit.c.day + RETURN_DAYS, False)
    new = and_(proven, visit.c.day > last - RETURN_DAYS, ~back)
    query = select(
        func.sum(case((new, 0), else_=1)),
        func.sum(case((and_(proven, ~back, ~new), 1), else_=0)),
        func.sum(case((new, 1), else_=0)),
    ).where(visit.c.outcome.in_(("proven", "unproven")))
    if until is not None:
        query = query.where(visit.c.day <= until)
    row = connection.execute(query).one()
    return row[0] or 0, row[1] or 0, row[2] or 0
