"""The verdict on one reading by itself."""

from __future__ import annotations

from dataclasses import replace

from test_field_picture import survey

from assistant.diagnosis import diagnose
from assistant.profile import load_profile
from assistant.record.session import Reading, Session
from assistant.report import Report, report_of
from assistant.report.contents import Row
from assistant.report.each_reading import AGAIN, BESIDE, NO_LIMIT
from assistant.report.facing_picture import facing

JOB = load_profile("robot_mower")


def reported(session: Session) -> Report:
    return report_of(session, JOB, diagnose(session, JOB))


def rows(report: Report) -> dict[str, Row]:
    return {row.id: row for group in report.groups.values() for row in group}


def a_reading(name: str, quantity: str, value: str, **context: str) -> Reading:
    return Reading(name, quantity, None, value, "value", "", context, "accepted")


def test_signals_beside_the_wire_are_not_called_suspect_for_being_low() -> None:
    session = survey(-80)
    report = reported(session)
    assert any(f.rule == "guide_wire_offset" and f.flagged for f in report.diagnosis.findings)
    beside = [r.id for r in session.readings if r.quantity == "guide_signal" and r.value == "22"]
    assert beside
    for name in beside:
        assert (rows(report)[name].verdict, rows(report)[name].unjudged) == (None, BESIDE)


def test_the_reading_over_the_wire_is_judged_by_its_limit() -> None:
    session = survey(-110)
    over = next(i for i, r in enumerate(session.readings) if r.value == "0") + 1
    assert rows(reported(session))[session.readings[over].id].verdict == "suspect"


def test_front_and_rear_are_compared_over_the_wire_only() -> None:
    [row] = facing(survey(-80), JOB)
    assert row.values[0] == round(118 / (1 + (80 / 110) ** 2))


def test_a_reading_taken_again_is_not_called_in_tolerance_by_the_later_one() -> None:
    weak = survey(0).readings[1]
    weak = replace(weak, id="1", value="40")
    again = [replace(weak, id=str(n), value="101") for n in (2, 3)]
    again.append(replace(weak, id="4", position="rear", value="99"))
    shown = rows(reported(Session("hb", "robot_mower", readings=(weak, *again))))
    assert (shown["1"].verdict, shown["1"].unjudged) == (None, AGAIN)
    assert shown["3"].verdict == "ok"


def test_a_joint_is_seen_in_the_resistance_and_not_in_the_length() -> None:
    readings = (
        a_reading("1", "boundary_length", "120"),
        a_reading("2", "conductor_area", "2.5"),
        a_reading("3", "boundary_resistance", "9.4"),
    )
    shown = rows(reported(Session("hb", "robot_mower", readings=readings)))
    assert shown["3"].verdict == "suspect"
    assert (shown["1"].verdict, shown["1"].unjudged) == (None, NO_LIMIT)


def test_the_headline_names_a_survey_once_by_what_it_found() -> None:
    headline = reported(survey(-80)).headline
    assert headline.count("guide wire beside its marked line") == 1
    assert "22" not in headline


def test_before_and_after_compare_what_was_read_over_the_wire() -> None:
    before = survey(-80).readings
    after = tuple(
        replace(r, id=f"{r.id}a", context={**r.context, "repair": "after"})
        for r in survey(0).readings
    )
    compared = reported(Session("hb", "robot_mower", readings=(*before, *after))).compared
    assert [(row.before, row.after) for row in compared] == [("77", "118"), ("77", "118")]
