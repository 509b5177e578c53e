"""The head of a journal in a form to be said aloud and written down.

A chain without a key shows tampering only against a copy of its head kept elsewhere: on the job
sheet, in a supervisor's book. Eight hexadecimal digits are short enough for that.
"""

from __future__ import annotations

from collections.abc import Iterable

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


def entry_of_head(entries: Iterable[Entry], noted: str) -> Entry | None:
    """The entry whose seal begins with the ``noted`` head (spaces and capitals don't matter):
    everything up to it is unchanged since it was noted. None: this journal is not that one."""
    wanted = noted.replace(" ", "").lower()
    if len(wanted) < SHORT:
        return None
    return next((entry for entry in entries if entry.sha256.startswith(wanted)), None)
