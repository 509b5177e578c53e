"""Control charts of one mower over its visits."""

from __future__ import annotations

from xml.etree import ElementTree

from assistant.profile import load_profile
from assistant.record.session import Reading, Session
from assistant.report.trend_picture import trend_picture, trends


def visit(number: int, front: int, quality: int = 100) -> Session:
    readings = [("guide_signal", "front", front, {"station": "undocked"})]
    readings += [("signal_quality", None, quality, {})]  # type: ignore[list-item]
    return Session(
        id=f"v{number}",
        profile="robot_mower",
        opened=f"203{number}-05-04T08:00:00Z",
        readings=tuple(
            Reading(str(i), quantity, position, str(value), "value", "1", context, "accepted")
            for i, (quantity, position, value, context) in enumerate(readings)
        ),
    )


STEADY = [visit(i, v) for i, v in enumerate([102, 101, 103, 102, 101])]
DRIFTING = [visit(i, v) for i, v in enumerate([102, 101, 103, 102, 101, 96, 92, 88])]
JOB = load_profile("robot_mower")


def test_what_has_moved_comes_first() -> None:
    names = [(name, told.moved) for name, told in trends(DRIFTING, JOB)]
    assert names[0] == ("guide signal front, undocked", True)
    assert ("signal quality", False) in names


def test_the_picture_names_each_label_and_whether_it_moved() -> None:
    svg = trend_picture(DRIFTING, JOB, "Over the visits")
    ElementTree.fromstring(svg.replace("xlink:href", "href"))
    assert "guide signal front, undocked: has moved" in svg
    assert "2030-05-04" in svg
    assert "2037-05-04" in svg
    assert "guide signal front, undocked: within its scatter" in trend_picture(STEADY, JOB, "")


def test_two_visits_draw_nothing() -> None:
    assert trend_picture(STEADY[:2], JOB, "") == ""
