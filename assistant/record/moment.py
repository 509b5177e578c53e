"""Moments of time as the record writes and reads them: RFC 3339, in UTC, to the millisecond."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone

_RFC3339 = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt]([0-9]{2}:[0-9]{2}):([0-9]{2})(?:\.([0-9]+))?"
    r"([Zz]|([+-])([0-9]{2}):([0-9]{2}))"
)


def now() -> datetime:
    """The system's clock, in UTC. It may be set back: order in a journal is by ``seq`` alone."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """``moment`` (which must know its zone) as RFC 3339 in UTC: "2026-11-25T17:13:05.120Z"."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def parse_moment(text: str) -> datetime:
    """The moment that an RFC 3339 text names, in the text's own zone, to the microsecond.

    A leap second (":60"), which ``datetime`` can't hold, becomes the second after it, as in POSIX
    time; it is valid only as the last second of a UTC month (RFC 3339 section 5.7).
    Raises ValueError for anything else.
    """
    match = _RFC3339.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not an RFC 3339 time such as 2026-11-25T17:13:05Z")
    day, minute, second, fraction, zone, sign, hours, minutes = match.groups()
    leap = second == "60"
    moment = datetime.fromisoformat(f"{day}T{minute}:{'59' if leap else second}")
    moment = moment.replace(
        microsecond=int((fraction or "0")[:6].ljust(6, "0")),
        tzinfo=_zone(zone, sign, hours, minutes),
    )
    if not leap:
        return moment
    after = moment + timedelta(seconds=1)
    utc = after.astimezone(UTC)
    if (utc.day, utc.hour, utc.minute, utc.second) != (1, 0, 0, 0):
        raise ValueError(f"{text!r} names a leap second where none can be")
    return after


def _zone(zone: str, sign: str | None, hours: str | None, minutes: str | None) -> timezone:
    if zone in "Zz" or sign is None:
        return UTC
    if int(hours or 0) > 23 or int(minutes or 0) > 59:
        raise ValueError(f"{zone!r} is not an offset from UTC")
    offset = timedelta(hours=int(hours or 0), minutes=int(minutes or 0))
    return timezone(-offset if sign == "-" else offset)
