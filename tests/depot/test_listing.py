from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import event

from assistant.depot.database import Depot
from assistant.depot.listed import Filter, SessionRow
from assistant.depot.listing import count_needing, needs_attention, sessions
from assistant.depot.refresh import enter
from assistant.depot.search import words_of
from assistant.depot.summary import Summary
from assistant.errors import UnknownNameError
from tests.benchmarks.synthetic_depot import fill

HOW_MANY = 300
FILTERS = (
    Filter(),
    Filter(technician="KL", signed=True),
    Filter(cause="front_sensor", outcome="unproven"),
    Filter(needs=True),
    Filter(needs=False, signed=False),
    Filter(since="2016-01-06", until="2016-01-08"),
)


def listed(depot: Depot, rows: list[SessionRow]) -> None:
    with depot.writing() as connection:
        said = [words_of(r.unit, r.technician, r.complaint) for r in rows]
        enter(connection, [Summary(r, words=w) for r, w in zip(rows, said, strict=True)])


def walk(depot: Depot, chosen: Filter, search: str = "", limit: int = 7) -> list[SessionRow]:
    """All rows, page by page."""
    found: list[SessionRow] = []
    after = None
    while True:
        page = sessions(depot, chosen, search, after, limit)
        assert len(page.rows) <= limit
        found += page.rows
        after = page.after
        if after is None:
            return found


def row(number: int, **fields: object) -> SessionRow:
    opened = f"2026-11-{number % 28 + 1:02d}T08:00:00.000Z"
    name = f"202611{number % 28 + 1:02d}-080000-unit14-{number:04x}"
    return replace(SessionRow(name, "14", "KL", "robot_mower", opened), **fields)  # type: ignore[arg-type]


def test_pages_hold_every_session_once_newest_first(depot: Depot) -> None:
    fill(depot, HOW_MANY)
    whole = (
        sessions(depot, limit=200).rows
        + sessions(depot, after=sessions(depot, limit=200).after, limit=200).rows
    )
    assert len({r.id for r in whole}) == HOW_MANY
    assert list(whole) == sorted(whole, key=lambda r: (r.opened, r.id), reverse=True)
    for chosen in (*FILTERS, Filter(unit=whole[5].unit)):
        expected = [r for r in whole if passes(r, chosen)]
        assert expected, chosen
        assert walk(depot, chosen) == expected


def passes(r: SessionRow, chosen: Filter) -> bool:
    return (
        chosen.unit in ("", r.unit)
        and chosen.technician in ("", r.technician)
        and chosen.cause in ("", r.cause)
        and chosen.outcome in (None, r.outcome)
        and chosen.signed in (None, r.signed_current)
        and chosen.needs in (None, bool(r.needs))
        and (chosen.since or "0") <= r.opened[:10] <= (chosen.until or "9")
    )


def test_a_search_finds_the_sessions_that_hold_a_word_beginning_so(depot: Depot) -> None:
    fill(depot, HOW_MANY)
    whole = walk(depot, Filter(), limit=200)
    chosen = Filter(technician="KL")
    for search in ("gate", "gat", "hums pond", "GATE  g", "splice rain", "zebra"):
        found = [r for r in whole if holds(r, search)]
        assert walk(depot, Filter(), search) == found, search
        assert walk(depot, chosen, search, 2) == [r for r in found if passes(r, chosen)], search


def holds(r: SessionRow, search: str) -> bool:
    words = words_of(r.unit, r.technician, r.complaint, r.cause_title, *r.parts)
    return all(any(w.startswith(t) for w in words) for t in search.casefold().split())


@pytest.mark.parametrize("search", ["%", "_", "'; DROP TABLE sessions; --", '"', "*", "\\", "  "])
def test_a_search_takes_no_sign_for_a_command(depot: Depot, search: str) -> None:
    listed(depot, [row(1, complaint="drop table of stones")])
    found = sessions(depot, search=search).rows
    assert len(found) == (1 if not words_of(search) else 0)


def test_accents_and_capitals_do_not_matter_to_a_search(depot: Depot) -> None:
    listed(depot, [row(1, complaint="Gerät brummt am Café")])
    assert sessions(depot, search="gerat CAFE").rows


def test_what_presses_most_comes_first(depot: Depot) -> None:
    rows = [
        row(1, out=1, outcome="faulty"),
        row(2, questions=1),
        row(3, chain="broken"),
        row(4, outcome="unproven", unproven=1),
        row(5, outcome="clean"),
        row(6, signed_by="MB", signed_current=False),
        row(7, signed_by="MB", signed_current=True, questions=2),
        row(8, questions=1),
    ]
    from assistant.depot.listed import attention_of

    listed(depot, [replace(r, attention=attention_of(r)) for r in rows])
    order = [int(r.id[-4:], 16) for r in needs_attention(depot).rows]
    assert order == [3, 6, 8, 2, 4, 1]
    first = needs_attention(depot, limit=4)
    rest = needs_attention(depot, first.after, limit=4)
    assert [int(r.id[-4:], 16) for r in (*first.rows, *rest.rows)] == order
    assert rest.after is None
    assert count_needing(depot) == 6


@pytest.mark.parametrize("after", ["", "x", "~~~", "2026~a\0", "nine~2026-01-01~a"])
def test_a_made_up_place_in_the_list_is_refused(depot: Depot, after: str) -> None:
    with pytest.raises(UnknownNameError, match="first page"):
        needs_attention(depot, after)
    if after.count("~") != 1 or "\0" in after:
        with pytest.raises(UnknownNameError, match="first page"):
            sessions(depot, after=after)


def test_what_is_no_date_is_refused(depot: Depot) -> None:
    for day in ("yesterday", "2026-13-01", "20261125"):
        with pytest.raises(UnknownNameError, match="no date"):
            sessions(depot, Filter(since=day))


def test_no_page_reads_the_whole_list(bench_sqlite: Depot) -> None:
    """Asked of SQLite itself: every step of the plan searches an index, none scans the table or
    sorts all of it."""
    depot = bench_sqlite
    fill(depot, HOW_MANY)
    plans: list[str] = []

    def explain(connection, cursor, statement, parameters, context, many):  # type: ignore[no-untyped-def]
        if statement.startswith("SELECT") and "FROM sessions" in statement:
            plan = connection.connection.cursor()
            plan.execute(f"EXPLAIN QUERY PLAN {statement}", parameters)
            plans.extend(step[3] for step in plan.fetchall())

    event.listen(depot.engine, "before_cursor_execute", explain)
    page = sessions(depot, limit=10)
    sessions(depot, after=page.after)
    for chosen in FILTERS[1:]:
        sessions(depot, chosen)
    needs_attention(depot, needs_attention(depot, limit=5).after)
    assert plans
    for step in plans:
        assert "TEMP B-TREE" not in step, plans
        assert "SCAN" not in step or "USING INDEX" in step, plans
