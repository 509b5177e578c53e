"""The head of a journal in a form to be said aloud and written down.

A chain without a key shows tampering only against a copy of its head kept elsewhere: on the job
sheet, in a supervisor's book. Eight hexadecimal digits are short enough for that.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.errors import RecordError
from assistant.record.entry import Entry

SHORT = 8

_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_LETTERS = ("alfa", "bravo", "charlie", "delta", "echo", "foxtrot")
_SPELLED = dict(zip("0123456789abcdef", _DIGITS + _LETTERS, strict=True))
"""Letters as in the radiotelephony alphabet (ICAO Annex 10, volume II; from memory)."""


def short_head(head: str) -> str:
    """The first eight hexadecimal digits: "9f86d081"."""
    return head[:SHORT]


def spelled_head(head: str) -> str:
    """The short head in words, said in two groups: "nine foxtrot eight six, delta …"."""
    words = [_SPELLED[digit] for digit in short_head(head)]
    return ", ".join(" ".join(words[i : i + 4]) for i in range(0, SHORT, 4))


def since_noted(entries: Sequence[Entry], noted: str) -> str:
    """What a head written down earlier proves of the journal as it is now, in words; spaces and
    capitals don't matter. Raises RecordError when it is the head of none of the entries."""
    wanted = noted.replace(" ", "").lower()
    if len(wanted) < SHORT:
        raise RecordError(f"{noted!r} is no head: give all its {SHORT} digits.")
    place = next((n for n, e in enumerate(entries, 1) if e.sha256.startswith(wanted)), None)
    if place is None:
        raise RecordError(
            f"No entry of this session has the head {noted!r}. Compare it with the sheet once "
            "more; if that is what was noted, this record is not the one it was noted from: keep "
            "both, and ask whoever had them since."
        )
    later = len(entries) - place
    after = f"{later} came after" if later else "nothing came after"
    return f"unchanged up to entry {entries[place - 1].id}, whose head was noted; {after}"
