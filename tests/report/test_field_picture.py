"""The picture of where the wire lies."""

from __future__ import annotations

from xml.etree import ElementTree

from assistant.profile import load_profile
from assistant.record.session import Reading, Session
from assistant.report.field_picture import field_picture


def survey(offset: float, *, shifts: range = range(-150, 151, 50)) -> Session:
    readings = []
    for shift in shifts:
        signal = str(round(118 / (1 + ((shift - offset) / 110) ** 2)))
        for quantity, position, value in (
            ("wire_shift", None, str(shift)),
            ("guide_signal", "front", signal),
            ("guide_signal", "rear", signal),
        ):
            readings.append(
                Reading(
                    id=str(len(readings) + 1),
                    quantity=quantity,
                    position=position,
                    value=value,
                    state="value",
                    unit="mm" if position is None else "1",
                    context={"station": "undocked"},
                    status="accepted",
                )
            )
    return Session(id="hb", profile="robot_mower", readings=tuple(readings))


def picture(session: Session) -> str:
    return field_picture(session, load_profile("robot_mower"), "Where the wire lies")


def test_the_wire_is_drawn_with_how_far_and_which_way() -> None:
    svg = picture(survey(-60))
    ElementTree.fromstring(svg.replace("xlink:href", "href"))
    assert svg.count("60 mm left") == 2
    assert "ahead" in svg
    assert "http" not in svg


def test_it_takes_the_pages_own_ink() -> None:
    assert "currentColor" in picture(survey(30))
    assert "#010203" not in picture(survey(30))


def test_readings_that_do_not_determine_the_place_give_no_picture() -> None:
    assert picture(survey(10, shifts=range(0, 101, 50))) == ""
    assert picture(Session(id="hb", profile="robot_mower")) == ""
