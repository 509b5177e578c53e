"""A session shown as it goes, for eyes and as JSON lines."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.report.transcript import Transcript
from assistant.session import Assistant

Printed = pytest.CaptureFixture[str]


@pytest.fixture
def assistant(tmp_path: Path) -> Iterator[Assistant]:
    made = open_assistant(Store(tmp_path), load_profile(), unit="14")
    yield made
    made.close()


def test_each_answer_is_marked_and_what_follows_comes_at_the_end(
    assistant: Assistant, capsys: Printed
) -> None:
    transcript = Transcript(assistant)
    transcript.source("round\x1b.wav")
    transcript.show(assistant.type("undocked, guide front one oh two, rear seventy"))
    transcript.show(assistant.type("front ninety"))
    told = capsys.readouterr().out
    assert "round\ufffd.wav" in told
    assert "  ✓ guide signal front 102, undocked" in told
    assert "  ! suspect: guide signal, front 102" in told
    assert "  ? loop signal front 90, undocked: guide or boundary?" in told
    [(session, diagnosis)] = transcript.end()
    assert session.unit == "14"
    assert any(finding.flagged for finding in diagnosis.findings)
    assert "What is wrong" in capsys.readouterr().out
    assert [reply.tone for reply in transcript.replies][:2] == ["accepted", "accepted"]
    assert [r.value for r in transcript.readings_from("")] == ["102", "70", "90"]


def test_json_is_one_object_a_line_and_a_completed_reading_comes_again(
    assistant: Assistant, capsys: Printed
) -> None:
    transcript = Transcript(assistant, as_json=True)
    transcript.welcome()
    transcript.source("round.wav")
    transcript.tell(["one ear is missing"])
    for line in ("undocked, front one oh two", "guide", "note seal looks tired"):
        transcript.show(assistant.type(line))
    transcript.end()
    out, err = capsys.readouterr()
    assert err == "one ear is missing\n"
    found = [json.loads(line) for line in out.splitlines()]
    readings = [line for line in found if line["kind"] == "reading"]
    assert [(r["id"], r["quantity"]) for r in readings] == [
        (readings[0]["id"], "loop_signal"),
        (readings[0]["id"], "guide_signal"),
    ]
    kinds = [line["kind"] for line in found]
    assert {"context", "note", "finding", "cause", "verdict"} <= set(kinds)
    assert kinds[-1] == "verdict"


def test_quiet_leaves_the_turns_out_and_keeps_what_was_said_back(
    assistant: Assistant, capsys: Printed
) -> None:
    transcript = Transcript(assistant, quiet=True)
    transcript.source("round.wav")
    transcript.show(assistant.type("undocked, guide front one oh two"))
    assert capsys.readouterr().out == ""
    assert [reply.shown for reply in transcript.replies][-1] == "guide signal front 102, undocked"


@pytest.mark.parametrize(
    ("trade", "example"),
    [
        ("robot_mower", '"guide signal front six seven, undocked"'),
        ("garden_tractor", '"voltage battery one two point four, stopped"'),
    ],
)
def test_somebody_at_the_keyboard_is_shown_a_line_of_the_trade(
    trade: str, example: str, tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Keyboard(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr("sys.stdin", Keyboard())
    Transcript(open_assistant(Store(tmp_path), load_profile(trade))).welcome()
    told = capsys.readouterr().out
    assert told.startswith("Type what you would say, a line at a time: ")
    assert example in told
    assert "Ctrl-D" in told
    assert "benchcall profiles NAME --words" in told


def test_a_trade_without_limits_has_an_example_too(
    tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Keyboard(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr("sys.stdin", Keyboard())
    bare = load_profile().model_copy(update={"tolerance": ()})
    Transcript(open_assistant(Store(tmp_path), bare)).welcome()
    assert '"guide signal front one two"' in capsys.readouterr().out
