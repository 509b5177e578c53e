from __future__ import annotations

import json
from collections.abc import Callable

from hollin_bank import DIAGNOSIS
from hypothesis import given
from hypothesis import strategies as st

from assistant.profile import load_profile
from assistant.record.body import reading_of
from assistant.record.session import Note, Session
from assistant.report import Report, report_of
from assistant.report.json import to_json


def test_every_reading_comes_back_as_it_was(report: Report) -> None:
    readings = json.loads(to_json(report))["readings"]
    back = tuple(reading_of(body["id"], body["at"], body) for body in readings)
    assert back == report.session.readings


def test_a_value_keeps_its_said_resolution_as_a_string(report: Report) -> None:
    values = {r["id"]: r["value"] for r in json.loads(to_json(report))["readings"]}
    assert values["6"] == "18.40"
    assert values["5"] == "-65"
    assert values["9"] is None


def test_the_objects_are_those_of_the_command_line(report: Report) -> None:
    content = json.loads(to_json(report))
    assert content["readings"][0]["kind"] == "reading"
    assert content["readings"][5]["missing"] == ["load"]
    assert content["findings"][1]["verdict"] == "suspect"
    assert content["causes"][0]["for"] == ["front 46 is low"]
    assert content["next_checks"][0]["caution"] == "Isolate the supply."
    assert content["repairs"][0]["outcome"] == "gone"
    assert content["verdict"]["ready_for_use"] is False


def test_a_superseded_entry_names_what_replaced_it(report: Report) -> None:
    old = json.loads(to_json(report))["superseded"]
    assert [(o["id"], o["replaced_by"]) for o in old] == [("1", "2"), ("0", "40")]


def test_lists_are_there_when_empty(make: Callable[..., Report]) -> None:
    content = json.loads(to_json(make(readings=(), superseded=())))
    assert content["readings"] == []
    assert content["superseded"] == []


@given(st.text(alphabet=st.characters()))
def test_any_note_comes_back_in_plain_ascii(words: str) -> None:
    session = Session("s", "robot_mower", notes=(Note("1", words),))
    text = to_json(report_of(session, load_profile("robot_mower"), DIAGNOSIS))
    assert text.isascii()
    assert json.loads(text)["notes"][0]["text"] == words
