"""What a limit says, word for word: verdict, reason and source are what the technician acts on.

The limits asserted here are the trade's: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from assistant.diagnosis.diagnose import diagnose, findings_of
from assistant.diagnosis.enough import percent
from assistant.profile.schema import Profile

if TYPE_CHECKING:
    from tests.diagnosis.conftest import Bench

DEPOT = "this depot's fleet, common practice, no source"
LEAST = "a guide wire a little out of line drops the signal quickly"

JUDGED: list[tuple[str, str | None, dict[str, Any], str, str]] = [
    ("battery_voltage", "18", {}, "ok", "18 volts: within limits (18 to 21 volts)"),
    ("battery_voltage", "21.0", {}, "ok", "21.0 volts: within limits (18 to 21 volts)"),
    (
        "battery_voltage",
        "17.99",
        {},
        "out",
        "17.99 volts: below the limit 18 volts; five cells",
    ),
    ("battery_voltage", "21.01", {}, "out", "21.01 volts: above the limit 21 volts; five cells"),
    ("battery_voltage", "60", {}, "out", "60 volts: above the limit 21 volts; five cells"),
    ("battery_voltage", "0", {}, "out", "0 volts: below the limit 18 volts; five cells"),
    (
        "battery_voltage",
        None,
        {"state": "off_scale"},
        "out",
        "off scale: above the limit 21 volts; five cells",
    ),
    (
        "battery_voltage",
        None,
        {"state": "no_reading"},
        "out",
        "no reading: no reading where at least 18 volts is needed; five cells",
    ),
    (
        "signal_quality",
        None,
        {"state": "off_scale"},
        "unknown",
        "off scale: off the meter's scale; change the range and take it again",
    ),
]


@pytest.mark.parametrize(("quantity", "value", "more", "verdict", "reason"), JUDGED)
def test_a_tolerance_says_value_limit_and_why(
    bench: Bench,
    profile: Profile,
    quantity: str,
    value: str | None,
    more: dict[str, Any],
    verdict: str,
    reason: str,
) -> None:
    (finding,) = findings_of(bench.read(quantity, value, **more).session, profile)
    label = quantity.replace("_", " ")
    assert (finding.verdict, finding.reason) == (verdict, f"{label} {reason}")
    assert (finding.about, finding.source) == (("1",), DEPOT)


def test_a_rule_of_another_context_does_not_apply_and_says_why(
    bench: Bench, profile: Profile
) -> None:
    floor, pair = findings_of(bench.read("guide_signal@front", "20", "docked").session, profile)
    assert floor.verdict == pair.verdict == "not_applicable"
    assert floor.reason == (
        "guide signal front 20, docked: "
        "docked, the station's own antenna wire overpowers it: normal"
    )


@pytest.mark.parametrize(
    ("quantity", "value", "more", "reason"),
    [
        ("battery_voltage", "60.1", {}, "60.1 volts cannot be (0 to 60 volts): take it again"),
        ("battery_voltage", "-0.1", {}, "−0.1 volts cannot be (0 to 60 volts): take it again"),
        (
            "battery_voltage",
            "19000",
            {"unit": "mV"},
            "19000 volts was said in mV, but is judged in V: say again",
        ),
    ],
)
def test_what_cannot_be_is_unknown_with_the_range_that_can(
    bench: Bench, profile: Profile, quantity: str, value: str, more: dict[str, Any], reason: str
) -> None:
    sourced = tuple(q.model_copy(update={"source": "the meter"}) for q in profile.quantity)
    profile = profile.model_copy(update={"quantity": sourced})
    (finding,) = findings_of(bench.read(quantity, value, **more).session, profile)
    assert (finding.rule, finding.about) == ("plausibility", ("1",))
    assert (finding.verdict, finding.source) == ("unknown", "the meter")
    assert finding.reason == f"battery voltage {reason}"


def test_a_check_that_tells_too_little_for_its_minutes_is_left_out(
    bench: Bench, profile: Profile
) -> None:
    """Watching it dock takes 50 minutes, swapping a sensor 5: bits a minute decide, not bits."""
    session = bench.read("guide_signal@front", "40", "undocked").session

    def offered(least: float) -> list[str]:
        constants = {"least_bits_per_minute": least}
        told = diagnose(session, profile.model_copy(update={"constants": constants}))
        return [check.check for check in told.next_checks]

    swaps = ["front_reading", "rear_reading"]
    assert offered(0.0) == [*swaps, "watch_docking"]
    assert offered(0.05) == swaps
    assert offered(1.0) == []


def test_a_check_is_offered_with_its_title_minutes_caution_and_what_comes_first(
    bench: Bench, profile: Profile
) -> None:
    first = diagnose(bench.read("guide_signal@front", "40", "undocked").session, profile)
    best = first.next_checks[0]
    assert (best.title, best.minutes, best.caution) == ("swap the front sensor", 5, "blades off")
    assert best.precondition == ""


def test_a_limit_above_alone_leaves_a_silent_display_open(bench: Bench, profile: Profile) -> None:
    (rule,) = (t for t in profile.tolerance if t.id == "battery_rested")
    most = rule.model_copy(update={"low": None, "when": {"station": "undocked"}})
    profile = profile.model_copy(update={"tolerance": (most,)})
    bench.read("battery_voltage", None, "undocked", state="no_reading")
    bench.read("battery_voltage", "19", "docked")
    silent, elsewhere = findings_of(bench.session, profile)
    assert (silent.verdict, silent.reason) == (
        "unknown",
        "battery voltage no reading, undocked: take it again",
    )
    assert (elsewhere.verdict, elsewhere.reason) == (
        "not_applicable",
        "battery voltage 19 volts, docked: judged only undocked",
    )


def test_no_chance_is_told_as_none_or_certain() -> None:
    told = {0.0: 1, 0.004: 1, 0.01: 1, 0.02: 2, 0.5: 50, 0.985: 98, 0.99: 99, 1.0: 99}
    assert {chance: percent(chance) for chance in told} == told


def test_a_pair_whose_context_was_not_said_is_unknown_and_asks(
    bench: Bench, profile: Profile
) -> None:
    bench.read("guide_signal@front", "98").read("guide_signal@rear", "97")
    (pair,) = (f for f in findings_of(bench.session, profile) if f.rule == "pair_guide_signal")
    assert pair.verdict == "unknown"
    assert pair.reason == "guide signal, front 98 and rear 97: not said: docked or undocked?"


@pytest.mark.parametrize(
    ("front", "rear", "verdict", "lower", "words"),
    [
        ("98", "88", "ok", None, "front 98 and rear 88, undocked: agree to within 10, limit 10"),
        (
            "98",
            "87",
            "suspect",
            "rear",
            "front 98 and rear 87, undocked: differ by 11, limit 10; front and rear see the same "
            "wire and should agree",
        ),
        (
            None,
            "87",
            "suspect",
            "front",
            "front no reading and rear 87, undocked: only one gives a value; front and rear see "
            "the same wire and should agree",
        ),
        (
            None,
            None,
            "unknown",
            None,
            "front no reading and rear no reading, undocked: neither gives a value, so they can't "
            "be compared",
        ),
    ],
)
def test_a_pair_says_both_readings_their_difference_and_its_limit(
    bench: Bench,
    profile: Profile,
    front: str | None,
    rear: str | None,
    verdict: str,
    lower: str | None,
    words: str,
) -> None:
    for place, value in (("front", front), ("rear", rear)):
        state = "value" if value else "no_reading"
        bench.read(f"boundary_signal@{place}", value, "undocked", state=state)
    told = findings_of(bench.session, profile)
    (pair,) = (f for f in told if f.rule == "pair_boundary_signal")
    assert pair.reason == f"boundary signal, {words}"
    assert (pair.about, pair.source, pair.lower) == (("1", "2"), DEPOT, lower)
    assert pair.verdict == verdict


def test_what_was_seen_is_told_with_the_words_heard_and_why_it_matters(
    bench: Bench, profile: Profile
) -> None:
    rows = tuple(o.model_copy(update={"source": DEPOT}) for o in profile.observation)
    profile = profile.model_copy(update={"observation": rows})
    bench.see("docking", "misses_left").see("stop_button", "works")
    heard = replace(bench.observations[0], heard="it misses left")
    session = replace(bench.session, observations=(heard, bench.observations[1]))
    docking, button = findings_of(session, profile)
    assert docking.reason == (
        'docking: misses left (heard "it misses left"); it misses the station to the same side '
        "each time"
    )
    assert (docking.verdict, docking.about, docking.source) == ("out", ("1",), DEPOT)
    assert (button.reason, button.verdict) == ("stop button: works", "ok")


def test_when_no_check_is_worth_its_time_the_verdict_says_so(
    bench: Bench, profile: Profile
) -> None:
    session = bench.read("guide_signal@front", "40", "undocked").session

    def verdict(least: float) -> str:
        constants = {"least_bits_per_minute": least}
        return diagnose(session, profile.model_copy(update={"constants": constants})).verdict

    last = " No check left is worth its time: decide on what is here, or get help."
    assert verdict(0.0).startswith("Not enough yet: the likeliest, ")
    assert verdict(1.0) == verdict(0.0) + last
