"""The chart on the page shows the chart that was computed."""

from __future__ import annotations

import pytest

from assistant.diagnosis.history import Visit, trend
from assistant.review.control_picture import BOTTOM, HEIGHT, TOP, control_picture

STEADY = (98.0, 101.0, 99.0, 100.0, 102.0)


def visits(values: tuple[float, ...]) -> list[Visit]:
    return [
        Visit(f"s{i}", f"2026-0{i + 1}-04T08:00:00Z", "KL", (value,))
        for i, value in enumerate(values)
    ]


def test_places_are_in_proportion_to_the_values() -> None:
    told = trend(visits(STEADY))
    picture = control_picture("guide signal", told)
    per_unit = (picture.lower - picture.upper) / (told.values.upper - told.values.lower)
    for point, value in zip(picture.points, STEADY, strict=True):
        assert (picture.centre - point.y) / per_unit == pytest.approx(value - 100, abs=0.05)
    assert TOP < picture.upper < picture.centre < picture.lower < HEIGHT - BOTTOM
    assert picture.centre == pytest.approx((picture.upper + picture.lower) / 2, abs=0.1)


def test_each_point_leads_to_its_visit_and_says_its_value() -> None:
    picture = control_picture("guide signal", trend(visits(STEADY)))
    assert [point.session for point in picture.points] == ["s0", "s1", "s2", "s3", "s4"]
    assert picture.points[1].words == "2026-02-04: 101"
    assert (picture.first, picture.last) == ("2026-01-04", "2026-05-04")
    assert not picture.moved
    assert not any(point.out for point in picture.points)


def test_a_visit_beyond_the_limits_or_after_a_leap_is_ringed() -> None:
    """The same that the diagnosis calls moved."""
    told = trend(visits((*STEADY, 101.0, 46.0)))
    picture = control_picture("guide signal", told)
    assert told.moved
    assert picture.moved
    assert [point.out for point in picture.points][-1]


def test_one_unchanging_value_is_drawn_in_the_middle() -> None:
    picture = control_picture("guide signal", trend(visits((98.0, 98.0, 98.0))))
    assert {point.y for point in picture.points} == {(TOP + HEIGHT - BOTTOM) / 2}
