from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import RecordError
from assistant.record.head import short_head, since_noted, spelled_head
from assistant.record.journal import Journal, read_journal

# SHA-256 of "test", a commonly quoted value (from memory; sha256sum gives the same).
HEAD = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"


def test_a_head_is_said_in_eight_digits_spelled() -> None:
    assert short_head(HEAD) == "9f86d081"
    assert spelled_head(HEAD) == "nine foxtrot eight six, delta zero eight one"


def test_every_digit_is_spelled_by_a_word_of_its_own() -> None:
    words = spelled_head("01234567") + ", " + spelled_head("89abcdef")
    assert len(set(words.replace(",", "").split())) == 16


def test_a_noted_head_proves_that_nothing_was_changed_up_to_its_entry(
    journal: Journal, path: Path
) -> None:
    note = journal.append("note", {"text": "then"})
    journal.append("note", {"text": "later"})
    entries = read_journal(path)
    short = short_head(note.sha256)
    told = since_noted(entries, f"{short[:4].upper()} {short[4:]}")
    assert told == f"unchanged up to entry {note.id}, whose head was noted; 1 came after"
    assert since_noted(entries[:-1], short).endswith("nothing came after")
    with pytest.raises(RecordError, match="all its 8 digits"):
        since_noted(entries, short[:7])
    with pytest.raises(RecordError, match="not the one it was noted from"):
        since_noted(entries[:1], short)
