from __future__ import annotations

import pytest

from assistant.diagnosis.finding import Cause, Finding, NextCheck, Verdict
from assistant.profile.schema import Profile
from assistant.speaking.advice import (
    chance,
    reply_to_cause,
    reply_to_finding,
    reply_to_next_check,
)


@pytest.mark.parametrize("verdict", ["out", "suspect"])
def test_what_is_wrong_is_said_with_its_reason_and_the_out_tone(
    bench: Profile, verdict: Verdict
) -> None:
    reason = 'guide signal front 46 (heard "guide front four six"), undocked: below the limit 67'
    reply = reply_to_finding(Finding("floor", verdict, ("7",), reason), bench)
    assert reply.tone == "out"
    assert reply.about == ("7",)
    assert reply.spoken.endswith(
        ": guide signal front four six, undocked: below the limit six seven"
    )
    assert reply.shown.endswith(reason)


@pytest.mark.parametrize("verdict", ["ok", "not_applicable"])
def test_what_is_fine_is_shown_and_not_said(bench: Profile, verdict: Verdict) -> None:
    reply = reply_to_finding(Finding("floor", verdict, (), "102 is fine."), bench)
    assert (reply.spoken, reply.tone) == ("", "none")
    assert "102 is fine." in reply.shown


def test_what_cannot_be_judged_is_asked_about(bench: Profile) -> None:
    reply = reply_to_finding(Finding("pair", "unknown", (), "rear not taken yet"), bench)
    assert reply.tone == "asked"
    assert reply.spoken == "not enough to judge: rear not taken yet"


def test_the_caution_of_what_was_seen_comes_before_the_finding(bench: Profile) -> None:
    finding = Finding("blade_condition", "suspect", ("9",), "blade condition: worn")
    assert reply_to_finding(finding, bench).spoken == (
        "caution: gloves on, blades are sharp. suspect: blade condition: worn"
    )


def test_what_was_seen_has_no_tolerance_to_be_out_of(bench: Profile) -> None:
    finding = Finding("blade_condition", "out", ("9",), "blade condition: worn")
    assert reply_to_finding(finding, bench).shown.endswith("fault: blade condition: worn")


def test_the_caution_comes_before_the_check_it_belongs_to() -> None:
    check = NextCheck(
        "tilt", "lay the level on the station", 3, 0.6, "isolate the supply", "dock it"
    )
    assert reply_to_next_check(check).spoken == (
        "caution: isolate the supply. first: dock it. Then next: lay the level on the station. "
        "About 3 minutes."
    )
    assert reply_to_next_check(None).spoken == "no further check would tell more"


def test_the_likeliest_cause_is_said_with_its_chance_and_reason() -> None:
    cause = Cause(
        "wire",
        "guide wire out of line",
        0.71,
        ("front 46 is low",),
        remedy="move it",
        caution="power off",
    )
    assert reply_to_cause(cause).spoken == (
        "caution: power off. likely cause: guide wire out of line, seven in ten. "
        "Because: front four six is low."
    )
    assert "not enough yet" in reply_to_cause(None).spoken


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.0, "less than one in twenty"),
        (0.049, "less than one in twenty"),
        (0.05, "one in ten"),
        (0.5, "five in ten"),
        (0.95, "nine in ten"),
        (0.951, "more than nineteen in twenty"),
        (1.0, "more than nineteen in twenty"),
    ],
)
def test_a_chance_is_never_said_to_be_certain(probability: float, words: str) -> None:
    assert chance(probability) == words


def test_what_speaks_against_the_likeliest_cause_is_said_with_it() -> None:
    missed = ('"weak signal" should show, but front 102 is within limits',)
    reply = reply_to_cause(Cause("guide", "guide wire out of line", 0.6, (), missed, ("x",)))
    assert reply.shown.endswith(
        'Against it: "weak signal" should show, but front 102 is within limits.'
    )
    assert "one zero two is within limits" in reply.spoken


def test_without_a_cause_it_says_that_it_is_too_early() -> None:
    assert reply_to_cause(None).spoken == "not enough yet to name a cause"
