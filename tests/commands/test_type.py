"""`benchcall type`, `check` and `report` as a user runs them: the contracts of the JSON lines."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.errors import RecordError

RUN = CliRunner()


@pytest.fixture(autouse=True)
def own_home(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Each test its own, so that the last session is the one it made."""
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path_factory.mktemp("home")))


def lines(words: str, *options: str) -> list[dict[str, Any]]:
    done = RUN.invoke(app, ["type", "--json", *options], input=words)
    assert done.exit_code == 0, done.output
    return [json.loads(line) for line in done.stdout.splitlines()]


def of_kind(found: list[dict[str, Any]], kind: str) -> list[dict[str, Any]]:
    return [line for line in found if line["kind"] == kind]


def test_a_reading_has_the_keys_that_others_rely_on() -> None:
    [reading] = of_kind(lines("docked, guide front one oh two\n"), "reading")
    expected = {
        "kind": "reading",
        "quantity": "guide_signal",
        "position": "front",
        "value": "102",
        "state": "value",
        "unit": "1",
        "context": {"station": "docked"},
        "status": "accepted",
        "missing": [],
        "replaces": None,
    }
    assert expected.items() <= reading.items()
    assert {"id", "session", "source", "start", "end", "confidence", "heard"} <= reading.keys()


def test_what_was_not_said_is_named_and_judged_by_nothing() -> None:
    found = lines("front one oh two, rear minus sixty five, docked\n")
    front, rear = of_kind(found, "reading")
    assert (front["quantity"], front["missing"]) == ("loop_signal", ["wire"])
    assert (rear["value"], rear["context"]) == ("-65", {"station": "docked"})
    assert not [f for f in of_kind(found, "finding") if f["verdict"] in ("out", "suspect")]


def test_a_bare_number_is_a_reading_only_where_it_is_expected() -> None:
    assert not of_kind(lines("ninety eight\n"), "reading")
    [reading] = of_kind(lines("ninety eight\n", "--expect", "guide_signal@front"), "reading")
    assert (reading["quantity"], reading["position"]) == ("guide_signal", "front")


@pytest.mark.parametrize(
    ("words", "verdict"),
    [
        ("undocked guide front 90 rear 75", "suspect"),
        ("undocked guide front 85 rear 75", "ok"),  # a difference of exactly 10
        ("undocked guide front 181 rear 191", "ok"),
        ("undocked guide front 98 rear 103", "ok"),
        ("docked guide front 102 rear -65", "not_applicable"),
    ],
)
def test_the_pair_rule_as_the_trade_has_it(words: str, verdict: str) -> None:
    """Common practice, no source."""
    findings = of_kind(lines(words + "\n"), "finding")
    [pair] = [f for f in findings if f["rule"] == "pair_guide_signal"]
    assert pair["verdict"] == verdict
    assert len(pair["about"]) == 2


def test_causes_fall_and_the_next_check_names_its_minutes() -> None:
    found = lines("undocked guide front 40 rear 41\nhoming misses\nmiss side always left\n")
    chances = [cause["probability"] for cause in of_kind(found, "cause")]
    assert chances == sorted(chances, reverse=True)
    assert of_kind(found, "cause")[0]["cause"] == "guide_wire_out_of_line"
    assert all(check["minutes"] > 0 for check in of_kind(found, "next_check"))


def test_a_context_said_after_shows_the_completed_reading_again_under_its_id() -> None:
    first, completed = of_kind(lines("guide front 98\nundocked\n"), "reading")
    assert (first["missing"], completed["missing"]) == (["station"], [])
    assert first["id"] == completed["id"]


def test_of_a_job_in_which_nothing_was_taken_no_cause_is_named() -> None:
    told = RUN.invoke(app, ["type"], input="hello\nunit 12\nhoming misses\n").output
    nothing, something = told.split("Unit not named")[1].split("Unit 12")
    assert nothing.strip() == "Nothing was measured or seen."
    assert "Likely causes" in something


def test_an_unknown_label_is_refused_with_the_nearest() -> None:
    done = RUN.invoke(app, ["type", "--expect", "gide_signal"], input="")
    assert isinstance(done.exception, Exception)
    assert "guide_signal" in str(done.exception)


def test_check_and_report_take_the_session_up_again(tmp_path: Path) -> None:
    RUN.invoke(app, ["type", "--unit", "14"], input="undocked guide front 40 rear 70\n")
    done = RUN.invoke(app, ["check", "last", "--json"])
    assert done.exit_code == 0, done.output
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert [r["value"] for r in of_kind(found, "reading")] == ["40", "70"]
    assert of_kind(found, "finding")
    done = RUN.invoke(app, ["check", "last"])
    assert "guide signal front" in done.stdout
    done = RUN.invoke(app, ["report", "last", "--format", "all", "--out", str(tmp_path)])
    assert done.exit_code == 0, done.output
    assert {path.suffix for path in tmp_path.iterdir()} == {".html", ".csv", ".json", ".xlsx"}


def test_check_compares_the_record_with_the_head_that_was_said_at_close() -> None:
    told = RUN.invoke(app, ["type"], input="guide front one oh two, docked\nclose job\n").output
    said = re.findall(r"\b[0-9a-f]{8}\b", told)[-1]
    done = RUN.invoke(app, ["check", "last", "--head", said])
    assert done.exit_code == 0
    assert "unchanged up to entry" in done.output
    assert "nothing came after" in done.output
    refused = RUN.invoke(app, ["check", "last", "--head", "0" * 8])
    assert isinstance(refused.exception, RecordError)


def test_hostile_words_reach_no_terminal_unescaped() -> None:
    done = RUN.invoke(app, ["type"], input="note \x1b[31mred [bold]markup[/bold]\n")
    assert "\x1b" not in done.stdout
    assert "[bold]markup[/bold]" in done.stdout
