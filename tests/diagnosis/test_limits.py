"""Tolerances in context, pairs and plausibility.

The limits asserted here are the trade's: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from assistant.diagnosis.diagnose import diagnose, findings_of
from assistant.diagnosis.finding import Finding
from assistant.profile.schema import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench


def by_rule(bench: Bench, profile: Profile, rule: str) -> list[Finding]:
    return [f for f in findings_of(bench.session, profile) if f.rule == rule]


@pytest.mark.parametrize(
    ("front", "rear", "verdict"),
    [("181", "191", "ok"), ("98", "103", "ok"), ("75", "90", "suspect"), ("100", "89", "suspect")],
)
def test_front_and_rear_undocked_agree_to_within_ten(
    bench: Bench, profile: Profile, front: str, rear: str, verdict: str
) -> None:
    bench.read("guide_signal@front", front, "undocked")
    bench.read("guide_signal@rear", rear, "undocked")
    (finding,) = by_rule(bench, profile, "pair_guide_signal")
    assert finding.verdict == verdict
    assert finding.about == ("1", "2")


@pytest.mark.parametrize("rule", ["guide", "boundary"])
def test_negative_rear_signals_are_no_fault_docked_and_one_undocked(
    bench: Bench, profile: Profile, rule: str
) -> None:
    values = {"guide": ("102", "-65"), "boundary": ("136", "-237")}[rule]
    for station in ("docked", "undocked"):
        bench.read(f"{rule}_signal@front", values[0], station)
        bench.read(f"{rule}_signal@rear", values[1], station)
    docked, undocked = by_rule(bench, profile, f"pair_{rule}_signal")
    assert docked.verdict == "not_applicable"
    assert "must not be compared" in docked.reason
    assert undocked.flagged
    assert undocked.lower == "rear"


@pytest.mark.parametrize(("value", "verdict"), [("100", "ok"), ("99", "out"), ("46", "out")])
def test_signal_quality_below_100_is_flagged(
    bench: Bench, profile: Profile, value: str, verdict: str
) -> None:
    bench.read("signal_quality", value)
    assert [f.verdict for f in by_rule(bench, profile, "signal_quality_full")] == [verdict]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [("102", "ok"), ("68", "ok"), ("67", "ok"), ("66", "suspect"), ("46", "suspect")],
)
def test_the_least_usable_guide_signal_is_67(
    bench: Bench, profile: Profile, value: str, verdict: str
) -> None:
    bench.read("guide_signal@front", value, "undocked")
    assert [f.verdict for f in by_rule(bench, profile, "guide_signal_floor")] == [verdict]


def test_a_reason_goes_down_to_the_words_heard(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "102", "undocked", heard="guide front one oh two")
    bench.read("guide_signal@rear", "87", "undocked", heard="rear eighty seven")
    (finding,) = by_rule(bench, profile, "pair_guide_signal")
    assert 'front 102 (heard "guide front one oh two")' in finding.reason
    assert 'rear 87 (heard "rear eighty seven")' in finding.reason
    assert "differ by 15, limit 10" in finding.reason


def test_a_missing_companion_is_unknown_and_named(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "102", "undocked")
    (finding,) = by_rule(bench, profile, "pair_guide_signal")
    assert finding.verdict == "unknown"
    assert "rear not taken yet" in finding.reason


def test_a_companion_that_waits_for_an_answer_is_told_apart(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "102", "undocked")
    bench.read("guide_signal@rear", "20", "undocked", status="asked")
    (finding,) = by_rule(bench, profile, "pair_guide_signal")
    assert finding.verdict == "unknown"
    assert "rear waits for an answer" in finding.reason


def test_what_is_asked_or_lacks_its_context_is_in_no_finding(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "20", "undocked", status="asked")
    bench.read("guide_signal@rear", "20", missing=("station",))
    assert findings_of(bench.session, profile) == ()


def test_a_rule_asks_for_the_context_that_was_not_said(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "20")
    (finding,) = by_rule(bench, profile, "guide_signal_floor")
    assert finding.verdict == "unknown"
    assert "docked or undocked?" in finding.reason


def test_the_latest_reading_of_a_label_counts(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "40", "undocked").read("guide_signal@front", "80", "undocked")
    (finding,) = by_rule(bench, profile, "guide_signal_floor")
    assert (finding.verdict, finding.about) == ("ok", ("2",))


def test_what_cannot_be_is_asked_again_and_not_flagged(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", "1020", "undocked")
    (finding,) = findings_of(bench.session, profile)
    assert (finding.rule, finding.verdict) == ("plausibility", "unknown")
    assert "take it again" in finding.reason


def test_a_reading_in_another_unit_is_asked_again(bench: Bench, profile: Profile) -> None:
    bench.read("battery_voltage", "19000", unit="mV")
    (finding,) = findings_of(bench.session, profile)
    assert "said in mV, but is judged in V" in finding.reason


@pytest.mark.parametrize(("state", "verdict"), [("off_scale", "out"), ("no_reading", "out")])
def test_no_value_is_beyond_a_limit_that_it_must_meet(
    bench: Bench, profile: Profile, state: str, verdict: str
) -> None:
    bench.read("battery_voltage", None, state=state)
    assert [f.verdict for f in by_rule(bench, profile, "battery_rested")] == [verdict]


def test_off_scale_against_a_floor_alone_is_unknown(bench: Bench, profile: Profile) -> None:
    bench.read("guide_signal@front", None, "undocked", state="off_scale")
    assert [f.verdict for f in by_rule(bench, profile, "guide_signal_floor")] == ["unknown"]


def test_a_signal_taken_beside_the_wire_meets_no_floor(bench: Bench, profile: Profile) -> None:
    bench.read("wire_shift", "200", "undocked").read("guide_signal@front", "30", "undocked")
    assert by_rule(bench, profile, "guide_signal_floor") == []
    bench.read("wire_shift", "0", "undocked").read("guide_signal@front", "30", "undocked")
    assert [f.verdict for f in by_rule(bench, profile, "guide_signal_floor")] == ["suspect"]


def test_a_pair_of_which_one_or_neither_gives_a_value(
    profile: Profile, new_bench: Callable[[], Bench]
) -> None:
    neither = new_bench()
    one = new_bench().read("guide_signal@front", "98", "undocked")
    for place in ("front", "rear"):
        neither.read(f"guide_signal@{place}", None, "undocked", state="no_reading")
    one.read("guide_signal@rear", None, "undocked", state="no_reading")
    (both_silent,) = by_rule(neither, profile, "pair_guide_signal")
    assert both_silent.verdict == "unknown"
    assert "neither gives a value" in both_silent.reason
    (rear_silent,) = by_rule(one, profile, "pair_guide_signal")
    assert (rear_silent.verdict, rear_silent.lower) == ("suspect", "rear")
    assert "only one gives a value" in rear_silent.reason


def test_a_quantity_that_the_profile_does_not_have_is_not_judged(
    bench: Bench, profile: Profile
) -> None:
    bench.read("rotor_wear", "9999", "undocked")
    assert not [f for f in findings_of(bench.session, profile) if "1" in f.about]


def test_a_trade_without_causes_and_without_a_release_round_says_so(
    bench: Bench, profile: Profile
) -> None:
    nothing = dict.fromkeys(("sign", "cause", "check", "round"), ())
    told = diagnose(bench.read("signal_quality", "46").session, profile.model_copy(update=nothing))
    assert told.causes == ()
    assert told.release_missing == ("the profile has no release round",)
    assert not told.ready_for_use
    assert [f.verdict for f in told.findings if f.rule == "signal_quality_full"] == ["out"]
