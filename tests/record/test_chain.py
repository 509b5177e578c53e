"""A journal cut at every byte, and with every byte flipped: what was acknowledged comes back, or
the line is named; a wrong reading never comes back."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import RecordError
from assistant.record.chain import read_chain
from assistant.record.entry import NOTHING_BEFORE, Entry, decode, encode
from assistant.record.journal import Journal, read_journal

AT = "2026-11-25T17:13:05.120Z"


def _lines() -> list[bytes]:
    lines: list[bytes] = []
    previous = NOTHING_BEFORE
    for seq, (kind, body) in enumerate(
        [
            ("opened", {"session": "s"}),
            ("reading", {"quantity": "guide_signal", "value": "-102.50", "heard": "°µΩ\u2028\n"}),
            ("context", {"key": "station", "value": "docked"}),
            ("note", {"text": 'says ,"sha256":"' + "0" * 64 + '"} and {"at":'}),
        ],
        start=1,
    ):
        line = encode(seq, AT, kind, body, previous)  # type: ignore[arg-type]
        previous = decode(line).sha256
        lines.append(line)
    return lines


LINES = _lines()
WHOLE = b"".join(line + b"\n" for line in LINES)
ENTRIES = tuple(decode(line) for line in LINES)
ENDS = [sum(len(line) + 1 for line in LINES[: i + 1]) for i in range(len(LINES))]


def _acknowledged(length: int) -> tuple[Entry, ...]:
    """The entries that were flushed, line feed and all, when ``length`` bytes had been written."""
    return tuple(entry for entry, end in zip(ENTRIES, ENDS, strict=True) if end <= length)


def test_a_whole_journal_is_read_whole() -> None:
    chain = read_chain(WHOLE)
    assert chain.entries == ENTRIES
    assert (chain.length, chain.tail, chain.damage) == (len(WHOLE), b"", None)


def test_cut_at_any_byte_it_reopens_with_every_acknowledged_entry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", lambda _: None)  # thousands of flushes tell nothing here
    for cut in range(len(WHOLE) + 1):
        path = tmp_path / f"{cut}.jsonl"
        path.write_bytes(WHOLE[:cut])
        acknowledged = _acknowledged(cut)
        complete = _acknowledged(cut + 1)  # of the last one only the line feed may be lacking
        assert complete[: len(acknowledged)] == acknowledged
        if not complete:
            with pytest.raises(RecordError, match="holds no entry"):
                Journal.reopen(path)
            assert path.read_bytes() == WHOLE[:cut]
            continue
        with Journal.reopen(path) as journal:
            assert journal.entries == complete
            torn = journal.torn.read_bytes() if journal.torn else b""
            assert torn == WHOLE[_length(complete) : cut]
            journal.append("note", {"text": "and on it goes"})
        assert [entry.body.get("text") for entry in read_journal(path)][-1] == "and on it goes"
        assert read_journal(path)[:-1] == complete


def _length(entries: tuple[Entry, ...]) -> int:
    return ENDS[len(entries) - 1] if entries else 0


@pytest.mark.parametrize("mask", [0x01, 0x02, 0x20, 0x80, 0xFF, ord("\n")])
def test_any_byte_flipped_is_refused_with_its_line_named(mask: int) -> None:
    for place in range(len(WHOLE)):
        data = bytearray(WHOLE)
        data[place] = data[place] ^ mask if mask != ord("\n") else mask
        if bytes(data) == WHOLE:
            continue
        chain = read_chain(bytes(data))
        line = sum(end <= place for end in ENDS) + 1
        assert chain.damage is not None, place
        assert chain.damage.line == line, place
        assert chain.entries == ENTRIES[: line - 1]
        assert all(entry in ENTRIES for entry in chain.damage.later), "a wrong entry came back"
        with pytest.raises(RecordError, match=f"damaged at line {line}:"):
            chain.trusted("j")


def test_the_refusal_says_what_is_still_whole() -> None:
    data = WHOLE.replace(b"-102.50", b"-102.51")
    chain = read_chain(data)
    assert chain.damage is not None
    assert [entry.seq for entry in chain.damage.later] == [3, 4]
    with pytest.raises(RecordError, match=r"line 2: its checksum.*lines 1 to 1, and 2 after it"):
        chain.trusted("j")


@pytest.mark.parametrize(
    ("order", "line", "why"),
    [
        ([0, 2, 3], 2, "numbered 3"),
        ([0, 1, 1, 2], 3, "numbered 2"),
        ([0, 2, 1, 3], 2, "numbered 3"),
        ([1, 2, 3], 1, "numbered 2"),
    ],
)
def test_a_line_missing_doubled_or_moved_is_named(order: list[int], line: int, why: str) -> None:
    chain = read_chain(b"".join(LINES[i] + b"\n" for i in order))
    assert chain.damage is not None
    assert chain.damage.line == line
    assert why in chain.damage.why


def test_a_line_exchanged_for_another_well_sealed_one_is_seen_at_the_next() -> None:
    forged = encode(2, AT, "reading", {"value": "99"}, ENTRIES[0].sha256)
    chain = read_chain(b"\n".join([LINES[0], forged, *LINES[2:], b""]))
    assert chain.damage is not None
    assert chain.damage.line == 3
    assert "exchanged" in chain.damage.why


def test_an_opening_stands_first_and_only_there() -> None:
    note = encode(1, AT, "note", {}, NOTHING_BEFORE)
    again = encode(2, AT, "opened", {}, ENTRIES[0].sha256)
    for data, line in ((note + b"\n", 1), (LINES[0] + b"\n" + again + b"\n", 2)):
        chain = read_chain(data)
        assert chain.damage is not None
        assert (chain.damage.line, "opening" in chain.damage.why) == (line, True)


def test_a_torn_tail_with_a_seal_inside_its_body_is_torn_all_the_same() -> None:
    body = {"x": {"sha256": "0" * 64, "a": 1}, "y": "z"}
    line = encode(5, AT, "note", body, ENTRIES[-1].sha256)
    for cut in range(1, len(line)):
        chain = read_chain(WHOLE + line[:cut])
        assert (chain.entries, chain.tail, chain.damage) == (ENTRIES, line[:cut], None)
    assert read_chain(WHOLE + line).entries[-1] == decode(line)


def test_a_torn_tail_of_zeros_as_some_file_systems_leave_it_is_torn() -> None:
    chain = read_chain(WHOLE + LINES[1][:40] + bytes(100))
    assert chain.damage is None
    assert chain.entries == ENTRIES
    assert chain.tail == LINES[1][:40] + bytes(100)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_without_an_exception_and_give_no_entry(data: bytes) -> None:
    chain = read_chain(data)
    assert chain.entries == ()
    with pytest.raises(RecordError):
        chain.trusted("j")
