from __future__ import annotations

import hashlib
import json
import struct
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from assistant.record.entry import KINDS, NOTHING_BEFORE, decode, encode

AT = "2026-11-25T17:13:05.120Z"

text = st.text(st.characters(exclude_categories=["Cs"]))
json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(-(2.0**53) + 1, 2.0**53 - 1)  # beyond, a double is written as a whole number
    | text,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(text, inner, max_size=4),
    max_leaves=12,
)
bodies = st.dictionaries(text, json_values, max_size=6)


@given(st.integers(1, 10**6), st.sampled_from(sorted(KINDS)), bodies)
def test_an_entry_reads_back_as_it_was_written(seq: int, kind: Any, body: dict[str, Any]) -> None:
    line = encode(seq, AT, kind, body, NOTHING_BEFORE)
    entry = decode(line)
    assert (entry.seq, entry.at, entry.kind, entry.body) == (seq, AT, kind, body)
    assert b"\n" not in line


@given(bodies)
def test_a_line_is_canonical_and_any_library_can_check_its_seal(body: dict[str, Any]) -> None:
    line = encode(7, AT, "note", body, NOTHING_BEFORE)
    fields = json.loads(line)
    assert rfc8785.dumps(fields) == line
    seal = fields.pop("sha256")
    assert hashlib.sha256(rfc8785.dumps(fields)).hexdigest() == seal


@pytest.mark.parametrize("value", ["12.50", "20.0", "-0.0", "-0.05", "00.1", "1e5"])
def test_a_decimal_string_keeps_its_resolution(value: str) -> None:
    entry = decode(encode(2, AT, "reading", {"value": value}, NOTHING_BEFORE))
    assert entry.body["value"] == value


@pytest.mark.parametrize(
    ("value", "text"),
    [
        # RFC 8785 and cyberphone/json-canonicalization, testdata/input and /output (read there).
        (
            [56, {"d": True, "10": None, "1": []}],
            '[56,{"1":[],"10":null,"d":true}]',
        ),
        (
            [333333333.33333329, 1e30, 4.50, 2e-3, 1e-27],
            "[333333333.3333333,1e+30,4.5,0.002,1e-27]",
        ),
        # Why a dictated value is never a JSON number; computed with rfc8785 0.1.4.
        ([12.50, 20.0, -0.0], "[12.5,20,0]"),
    ],
)
def test_bodies_are_written_as_rfc_8785_says(value: object, text: str) -> None:
    line = encode(2, AT, "note", {"v": value}, NOTHING_BEFORE).decode()
    assert f'"body":{{"v":{text}}}' in line


@pytest.mark.parametrize(
    ("bits", "text"),
    [
        # cyberphone/json-canonicalization, testdata/README (read there).
        ("444b1ae4d6e2ef50", "1e+21"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("8000000000000000", "0"),
    ],
)
def test_ieee_doubles_are_written_as_the_reference_data_says(bits: str, text: str) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert f'"v":{text}}}' in encode(2, AT, "note", {"v": number}, NOTHING_BEFORE).decode()


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), 2**53, "\ud800", {1: 2}, object(), b"", {"\udfff": 1}]
)
def test_a_body_that_json_cannot_hold_is_refused(value: object) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the library words it
        encode(2, AT, "note", {"v": value}, NOTHING_BEFORE)


def _sealed(fields: str) -> bytes:
    seal = hashlib.sha256(fields.encode()).hexdigest()
    return f'{fields[:-1]},"sha256":"{seal}"}}'.encode()


@pytest.mark.parametrize(
    "fields",
    [
        "{}",
        '{"seq":1}',
        '{"at":"","body":{},"kind":"note","previous":"","seq":"1"}',
        '{"at":"","body":[],"kind":"note","previous":"","seq":1}',
        '{"at":"","body":{},"kind":"magic","previous":"","seq":1}',
        '{"at":"","body":{"v":NaN},"kind":"note","previous":"","seq":1}',
        '{"at":"","body":{},"kind":[],"previous":"","seq":1}',
        '{"at":"","body":{"v":' + "[" * 100_000 + "]" * 100_000 + '},"kind":"note","seq":1}',
    ],
    ids=lambda fields: fields[:50],
)
def test_a_line_that_is_sealed_but_is_no_entry_is_refused(fields: str) -> None:
    with pytest.raises(ValueError, match="sealed"):
        decode(_sealed(fields))


@given(st.binary())
def test_any_bytes_are_an_entry_or_a_plain_refusal(line: bytes) -> None:
    with pytest.raises(ValueError, match="checksum"):
        decode(line)
