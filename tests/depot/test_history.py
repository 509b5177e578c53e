"""One mower's history and the depot's figures."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest

from assistant.depot.database import Depot
from assistant.depot.figures import depot_figures
from assistant.depot.listed import Outcome, SessionRow
from assistant.depot.refresh import enter, refresh
from assistant.depot.summary import Summary
from assistant.depot.unit_history import unit_history
from assistant.errors import UnknownNameError
from assistant.profile import load_profile
from assistant.report.trend_picture import picture, trends

from .hollin_bank import PROVEN, Bench


def visit(day: str, outcome: Outcome, unit: str = "14", **fields: object) -> SessionRow:
    name = f"{day.replace('-', '')}-080000-unit{unit}-{ord(outcome[0]):04x}"
    row = SessionRow(name, unit, "KL", "robot_mower", f"{day}T08:00:00.000Z", outcome=outcome)
    return replace(row, **fields)  # type: ignore[arg-type]


def listed(depot: Depot, *rows: SessionRow) -> None:
    with depot.writing() as connection:
        enter(connection, [Summary(r, parts=tuple(("9", p) for p in r.parts)) for r in rows])


def test_a_mowers_charts_are_those_of_its_sessions(bench: Bench, depot: Depot) -> None:
    """The index gives the numbers that the journals themselves give."""
    for front in ("one oh two", "one oh one", "one oh three", "one oh two", "eighty one"):
        bench.session(f"guide front {front}, rear ninety nine, undocked")
    bench.session("guide front fifty, rear fifty, undocked", unit="7")
    refresh(depot)
    history = unit_history(depot, "14")
    store = bench.store
    mine = [store.read(listed.id) for listed in store.find("14")]
    expected = trends(mine, load_profile())
    assert history.trends == expected
    assert expected
    assert [r.id for r in history.rows] == [s.id for s in reversed(mine)]
    assert "<svg" in picture(history.trends, "Over the visits")


def test_faults_and_parts_of_a_mower_are_told(bench: Bench, depot: Depot) -> None:
    name = bench.session(*PROVEN)
    refresh(depot)
    history = unit_history(depot, "14")
    assert [(p.part, p.session) for p in history.parts] == [("front loop sensor", name)]
    assert sum(count for *_, count in history.causes) == 1
    assert unit_history(depot, "99").rows == ()


def test_the_context_of_a_reading_comes_back_as_it_was(bench: Bench, depot: Depot) -> None:
    from sqlalchemy import select

    from assistant.depot.tables import readings

    bench.session(*PROVEN)
    refresh(depot)
    with depot.reading() as connection:
        rows = connection.execute(select(readings).order_by(readings.c.entry)).all()
    signals = [(r.position, r.value, json.loads(r.context)) for r in rows if r.position]
    assert ("rear", "99", {"repair": "after", "station": "undocked"}) in signals


def test_a_repair_holds_when_the_mower_is_not_back_within_thirty_days(depot: Depot) -> None:
    """Common practice, no source: thirty days are the depot's own measure."""
    listed(
        depot,
        visit("2026-01-10", "proven", "1"),  # held: back after 31 days
        visit("2026-02-10", "faulty", "1"),
        visit("2026-01-10", "proven", "2"),  # did not hold: back after 30 days
        visit("2026-02-09", "faulty", "2"),
        visit("2026-01-10", "unproven", "3"),
        visit("2026-01-10", "proven", "4"),  # held: what came after found nothing
        visit("2026-01-20", "clean", "4"),
        visit("2026-03-01", "proven", "5"),  # too new to tell
        visit("2026-01-10", "proven", ""),  # mowers without a number are not one mower
        visit("2026-01-11", "proven", "", id="20260111-080000-unit-0001"),
        visit("2026-03-02", "clean", "6"),
    )
    figures = depot_figures(depot)
    assert (figures.repaired, figures.first_time, figures.too_new) == (6, 4, 1)
    assert figures.first_time_rate == pytest.approx(4 / 6)
    january = depot_figures(depot, "2026-01-01", "2026-01-31")
    assert (january.repaired, january.first_time, january.too_new) == (6, 4, 0)
    assert depot_figures(depot, "2030-01-01").first_time_rate is None


def test_the_figures_count_faults_mowers_parts_and_minutes(depot: Depot) -> None:
    sensor = {"cause": "front_sensor", "cause_title": "front loop sensor"}
    listed(
        depot,
        visit("2026-01-10", "proven", "1", minutes=20.0, parts=("sensor",), **sensor),
        visit("2026-01-11", "faulty", "1", minutes=40.0, **sensor),
        visit("2026-01-12", "faulty", "2", cause="battery", cause_title="battery"),
        visit("2026-01-13", "clean", "2", lasted=10.0),
    )
    figures = depot_figures(depot, until="2026-01-13")
    assert [(c.id, c.title, c.count, c.minutes) for c in figures.causes] == [
        ("front_sensor", "front loop sensor", 2, 30.0),
        ("battery", "battery", 1, None),
    ]
    assert [(u.id, u.count) for u in figures.units] == [("1", 2), ("2", 1)]
    assert [(p.id, p.count) for p in figures.parts] == [("sensor", 1)]
    assert (figures.sessions, figures.minutes, figures.timed, figures.lasted) == (4, 30.0, 2, 10.0)
    assert depot_figures(depot, since="2026-01-11").parts == ()


def test_an_empty_depot_has_figures_too(depot: Depot) -> None:
    figures = depot_figures(depot, today=date(2026, 1, 1).isoformat())
    assert (figures.sessions, figures.causes, figures.minutes) == (0, (), None)
    with pytest.raises(UnknownNameError, match="no date"):
        depot_figures(depot, "yesterday")
