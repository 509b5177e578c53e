from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.moment import now, parse_moment, stamp

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        # RFC 3339 section 5.8, examples as quoted; the epochs computed with datetime.
        ("1985-04-12T23:20:50.52Z", 482196050.52),
        ("1996-12-19T16:39:57-08:00", 851042397),
        ("1996-12-20T00:39:57Z", 851042397),
        # RFC 3339 section 5.8, text from memory; the epoch computed with datetime.
        ("1937-01-01T12:00:27.87+00:20", -1041337172.13),
    ],
)
def test_the_examples_of_rfc_3339_are_the_moments_they_name(text: str, seconds: float) -> None:
    assert (parse_moment(text) - EPOCH).total_seconds() == pytest.approx(seconds, abs=1e-6)


@pytest.mark.parametrize("text", ["1990-12-31T23:59:60Z", "1990-12-31T15:59:60-08:00"])
def test_a_leap_second_is_valid_and_is_the_second_after_it(text: str) -> None:
    # RFC 3339 section 5.8 (both lines name the same leap second).
    assert parse_moment(text) == datetime(1991, 1, 1, tzinfo=UTC)


def test_the_standard_library_alone_would_refuse_the_leap_second() -> None:
    # Seen with Python 3.11: the reason why parse_moment treats it by itself.
    with pytest.raises(ValueError, match="second must be in"):
        datetime.fromisoformat("1990-12-31T23:59:60Z")


@pytest.mark.parametrize(
    "text",
    [
        "1990-12-31T23:58:60Z",
        "1990-12-30T23:59:60Z",
        "2026-11-25 17:13:05Z",
        "2026-11-25T17:13:05",
        "2026-11-25T17:13Z",
        "2026-13-25T17:13:05Z",
        "2026-11-25T24:00:00Z",
        "2026-11-25T17:13:61Z",
        "2026-11-25T17:13:05+24:00",
        "2026-11-25T17:13:05+00:60",
        "٢٠٢٦-11-25T17:13:05Z",
        "2026-11-25T17:13:05.Z",
        "",
    ],
)
def test_what_is_not_rfc_3339_is_refused(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - datetime words its own refusals
        parse_moment(text)


def test_lower_case_letters_and_the_unknown_offset_are_allowed() -> None:
    # RFC 3339 section 5.6 (lower case) and 4.3 (-00:00), from memory.
    assert parse_moment("2026-11-25t17:13:05z") == parse_moment("2026-11-25T17:13:05-00:00")


@given(st.datetimes(min_value=datetime(1, 1, 2), max_value=datetime(9999, 12, 30)))
def test_what_is_stamped_is_read_back_to_the_millisecond(moment: datetime) -> None:
    for zone in (UTC, timezone(timedelta(hours=5, minutes=45))):
        known = moment.replace(tzinfo=zone)
        text = stamp(known)
        assert text.endswith("Z")
        assert timedelta(0) <= known - parse_moment(text) < timedelta(milliseconds=1)


def test_now_knows_its_zone() -> None:
    assert now().utcoffset() == timedelta(0)
