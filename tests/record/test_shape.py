"""A sealed entry of another shape is refused in plain words, wherever a session is read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assistant.errors import RecordError
from assistant.profile import Profile
from assistant.record.entry import NOTHING_BEFORE, Kind, decode, encode
from assistant.record.shape import check_shape
from assistant.record.store import JOURNAL, Store

from .saying import reading
from .test_replay import AT

READING: dict[str, Any] = {
    "quantity": "guide_signal",
    "position": "front",
    "value": "102",
    "state": "value",
    "unit": "1",
    "context": {},
    "status": "accepted",
    "missing": [],
}


def check(kind: Kind, body: dict[str, Any]) -> None:
    check_shape(decode(encode(7, AT, kind, body, NOTHING_BEFORE)))


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"value": "1e9"}, "value"),
        ({"value": "٣"}, "value"),
        ({"value": 102}, "value"),
        ({"value": None}, "value and its state contradict"),
        ({"state": "no_reading"}, "value and its state contradict"),
        ({"state": "perhaps"}, "state"),
        ({"status": "sure"}, "status"),
        ({"context": {"station": 1}}, "context.station"),
        ({"missing": "station"}, "missing"),
        ({"changes": {"2": {"status": []}}}, "changes.2.status"),
    ],
)
def test_a_reading_of_another_shape_is_named_with_the_field(
    changed: dict[str, Any], why: str
) -> None:
    check("reading", READING)
    with pytest.raises(RecordError, match=rf"Entry 7 is no reading .*{why}.*Install"):
        check("reading", READING | changed)


def test_off_scale_and_no_reading_have_no_number() -> None:
    for state in ("off_scale", "no_reading"):
        check("reading", READING | {"state": state, "value": None})


@pytest.mark.parametrize(
    ("kind", "body", "why"),
    [
        ("observation", {"item": "blades", "value": None}, "value"),
        ("context", {"value": "docked"}, "key"),
        ("note", {"text": ["seal"]}, "text"),
        ("withdrawal", {}, "entry"),
        ("signed_off", {"cites": "0"}, "by"),
        ("command", {"changes": None}, "changes"),
    ],
)
def test_any_entry_of_another_shape_is_refused(kind: Kind, body: dict[str, Any], why: str) -> None:
    with pytest.raises(RecordError, match=rf"no {kind} .*{why}"):
        check(kind, body)


def test_a_session_whose_opening_is_strange_is_listed_with_its_trouble(
    store: Store, profile: Profile
) -> None:
    with store.create(profile, unit="14") as record:
        record.enter(reading("102"))
        name, folder = record.session.id, record.folder
    line = encode(1, AT, "opened", {"session": name, "unit": {"of": "the heart"}}, NOTHING_BEFORE)
    Path(folder / JOURNAL).write_bytes(line + b"\n")
    (listed,) = store.sessions()
    assert "no opened that this version can read (unit:" in listed.trouble
    with pytest.raises(RecordError, match="unit:"):
        store.read(name)
