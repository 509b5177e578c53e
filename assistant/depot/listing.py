"""The list of sessions, a page at a time: what needs a supervisor first, or newest first.

A page begins after the last line of the one before (keyset), so the hundredth costs what the
first does.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, literal_column, select, tuple_

from assistant.depot.database import Depot
from assistant.depot.days import day_asked
from assistant.depot.listed import Filter, Page, SessionRow
from assistant.depot.search import matching, meant, terms
from assistant.depot.tables import sessions as table
from assistant.errors import UnknownNameError

MOST = 200
"""Rows on a page at the most."""
COUNTED = 1000
"""``count_needing`` counts no further."""
_FIELDS = tuple(field.name for field in fields(SessionRow))
COLUMNS = tuple(table.c[name] for name in _FIELDS)
_BETWEEN = "~"


def needs_attention(depot: Depot, after: str | None = None, limit: int = 50) -> Page:
    """The sessions a supervisor has to look at, most pressing first, then newest first.

    Raises UnknownNameError for an ``after`` that no page gave.
    """
    limit = _limit(limit)
    query = select(*COLUMNS).where(table.c.attention > 0)
    if after is not None:
        weight, opened, name = _split(after, 3)
        if not weight.isdecimal():
            raise _strange()
        place = tuple_(table.c.attention, table.c.opened, table.c.id)
        query = query.where(place < (int(weight), opened, name))
    order = (table.c.attention.desc(), table.c.opened.desc(), table.c.id.desc())
    with depot.reading() as connection:
        rows = [row_of(row) for row in connection.execute(query.order_by(*order).limit(limit + 1))]
    last = rows[limit - 1] if len(rows) > limit else None
    return Page(
        tuple(rows[:limit]),
        _BETWEEN.join((str(last.attention), last.opened, last.id)) if last else None,
    )


def count_needing(depot: Depot) -> int:
    """How many sessions need attention; 1000 stands for that many or more."""
    some = select(literal_column("1")).where(table.c.attention > 0).limit(COUNTED).subquery()
    with depot.reading() as connection:
        return connection.scalar(select(func.count()).select_from(some)) or 0


def sessions(
    depot: Depot,
    chosen: Filter | None = None,
    search: str = "",
    after: str | None = None,
    limit: int = 50,
) -> Page:
    """The sessions that ``chosen`` lets through and that hold a word beginning with each term of
    ``search``, newest first.

    Raises UnknownNameError for an ``after`` that no page gave.
    """
    limit = _limit(limit)
    wheres = _conditions(chosen or Filter())
    before: tuple[str, str] | None = None
    if after is not None:
        opened, name = _split(after, 2)
        before = (opened, name)
    with depot.reading() as connection:
        if terms(search):
            rows = _found(connection, search, before, wheres, limit + 1)
        else:
            query = select(*COLUMNS).where(*wheres)
            if before is not None:
                query = query.where(tuple_(table.c.opened, table.c.id) < before)
            query = query.order_by(table.c.opened.desc(), table.c.id.desc()).limit(limit + 1)
            rows = [row_of(row) for row in connection.execute(query)]
    last = rows[limit - 1] if len(rows) > limit else None
    return Page(tuple(rows[:limit]), f"{last.opened}{_BETWEEN}{last.id}" if last else None)


def row_of(row: Any) -> SessionRow:
    """A line of the table as the list gives it."""
    values = dict(row._mapping)
    values["parts"] = tuple(values["parts"].splitlines())
    return SessionRow(**values)


def _found(
    connection: Connection,
    search: str,
    before: tuple[str, str] | None,
    wheres: list[ColumnElement[bool]],
    limit: int,
) -> list[SessionRow]:
    groups = meant(connection, search)
    if not all(groups):
        return []
    names = list(connection.scalars(matching(groups, before, wheres, limit)))
    rows = connection.execute(select(*COLUMNS).where(table.c.id.in_(names)))
    found = {row.id: row_of(row) for row in rows}
    return [found[name] for name in names]


def _conditions(chosen: Filter) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = []
    for name in ("unit", "technician", "cause", "outcome"):
        if wanted := getattr(chosen, name):
            found.append(table.c[name] == wanted)
    if chosen.signed is not None:
        found.append(table.c.signed_current.is_(chosen.signed))
    if chosen.needs is not None:
        found.append(table.c.attention > 0 if chosen.needs else table.c.attention == 0)
    for day in filter(None, (chosen.since, chosen.until)):
        day_asked(day)
    if chosen.since:
        found.append(table.c.opened >= chosen.since)
    if chosen.until:
        found.append(table.c.opened < f"{chosen.until}U")  # "U" comes after "T"
    return found


def _limit(limit: int) -> int:
    return max(1, min(limit, MOST))


def _split(after: str, count: int) -> list[str]:
    parts = after.split(_BETWEEN)
    if len(parts) != count or "\0" in after:
        raise _strange()
    return parts


def _strange() -> UnknownNameError:
    return UnknownNameError("There is no such page of the list; begin again at its first page.")
