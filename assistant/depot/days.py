"""Dates as the index counts them: days since year 1 (``date.toordinal``)."""

from __future__ import annotations

from datetime import date

from assistant.errors import UnknownNameError


def day_of(opened: str) -> int:
    """The day of an RFC 3339 moment; 0 for what is none."""
    try:
        return date.fromisoformat(opened[:10]).toordinal()
    except ValueError:
        return 0


def day_asked(text: str) -> int:
    """The day that somebody asks for. Raises UnknownNameError for what is no date."""
    if len(text) == len("2026-11-25") and (day := day_of(text)):
        return day
    raise UnknownNameError(f"{text!r} is no date; write it as 2026-11-25.")
