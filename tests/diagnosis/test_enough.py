"""When to stop, and what is said of it."""

from __future__ import annotations

import pytest

from assistant.diagnosis.causes import NO_FAULT
from assistant.diagnosis.enough import is_enough, nothing_left
from assistant.diagnosis.finding import Cause
from assistant.profile import Profile

SEEN = {"weak_guide": True}
DOCKS = ('"misses the station" should show, but it docks straight',)


def causes(
    name: str,
    chance: float,
    missed: tuple[str, ...] = (),
    unexplained: tuple[str, ...] = (),
    second: float = 0.01,
) -> tuple[Cause, ...]:
    return (
        Cause(name, "guide wire out of line", chance, missed=missed, unexplained=unexplained),
        Cause("supply", "supply weak", second),
    )


@pytest.mark.parametrize(
    ("name", "chance", "missed", "unexplained", "enough"),
    [
        ("guide", 0.95, (), (), True),
        ("guide", 0.94, (), (), False),
        ("guide", 0.97, DOCKS, (), False),
        ("guide", 0.98, DOCKS, (), True),
        ("guide", 0.96, (), ("a stray thing",), True),
        (NO_FAULT, 0.97, (), (), False),
        (NO_FAULT, 0.98, (), (), True),
        (NO_FAULT, 0.999, (), ("it misses the station",), False),
    ],
)
def test_what_speaks_against_a_cause_raises_the_bar(
    profile: Profile,
    name: str,
    chance: float,
    missed: tuple[str, ...],
    unexplained: tuple[str, ...],
    enough: bool,
) -> None:
    assert is_enough(profile, causes(name, chance, missed, unexplained), SEEN)[0] is enough


def test_what_speaks_against_it_is_said_even_when_it_is_enough(profile: Profile) -> None:
    assert is_enough(profile, causes("guide", 0.99, DOCKS), SEEN)[1] == (
        "Enough: guide wire out of line, 99 of 100. "
        'Against it: "misses the station" should show, but it docks straight.'
    )


def test_what_no_cause_explains_is_said(profile: Profile) -> None:
    unexplained = ("it misses the station",)
    words = is_enough(profile, causes(NO_FAULT, 0.99, unexplained=unexplained), SEEN)[1]
    assert "no cause on the list explains this: it misses the station" in words


def test_a_second_fault_is_named(profile: Profile) -> None:
    words = is_enough(profile, causes("guide", 0.99, second=0.4), SEEN)[1]
    assert "Look at a second fault too: supply weak, 40 of 100" in words


def test_nothing_measured_is_never_enough(profile: Profile) -> None:
    assert not is_enough(profile, causes("guide", 0.99), {})[0]


def test_a_mower_without_a_sign_may_go_when_no_check_is_worth_its_time(profile: Profile) -> None:
    assert nothing_left(profile, causes(NO_FAULT, 0.96), "")[0]
    assert not nothing_left(profile, causes(NO_FAULT, 0.90), "Not yet.")[0]
    unexplained = causes(NO_FAULT, 0.96, unexplained=("it misses",))
    assert not nothing_left(profile, unexplained, "Not yet.")[0]
    undecided, words = nothing_left(profile, causes("guide", 0.6), "Not yet.")
    assert not undecided
    assert words.startswith("Not yet. No check left is worth its time")
    assert nothing_left(profile, causes(NO_FAULT, 0.95), "") == (
        True,
        "Enough: guide wire out of line, 95 of 100, and no check left is worth its time.",
    )
    lenient = profile.model_copy(update={"constants": {"beyond_doubt": 0.9}})
    assert nothing_left(lenient, causes(NO_FAULT, 0.91), "")[0]


def test_a_fleet_sets_its_own_margin(profile: Profile) -> None:
    strict = profile.model_copy(update={"constants": {"beyond_doubt": 0.99}})
    assert not is_enough(strict, causes("guide", 0.97), SEEN)[0]
    lenient = profile.model_copy(update={"constants": {"contested_beyond_doubt": 0.9}})
    assert is_enough(lenient, causes("guide", 0.91, DOCKS), SEEN)[0]


def test_why_it_is_not_enough_is_said_in_full(profile: Profile) -> None:
    assert is_enough(profile, causes("guide", 0.9, DOCKS), SEEN)[1] == (
        "Not enough yet: the likeliest, guide wire out of line, stands at 90 of 100. "
        f"Against it: {DOCKS[0]}."
    )
    unexplained = ("it misses the station", "the front is weak")
    assert is_enough(profile, causes(NO_FAULT, 0.9, unexplained=unexplained), SEEN)[1] == (
        "Not enough yet: no cause on the list explains this: it misses the station; the front is "
        "weak."
    )


def test_the_verdict_says_cause_chance_and_second_fault_in_full(profile: Profile) -> None:
    named = is_enough(profile, causes("guide", 0.99, second=0.2), SEEN)
    assert named == (
        True,
        "Enough: guide wire out of line, 99 of 100. "
        "Look at a second fault too: supply weak, 20 of 100.",
    )
    unnamed = is_enough(profile, causes("guide", 0.99, second=0.19), SEEN)
    assert unnamed == (True, "Enough: guide wire out of line, 99 of 100.")
    nothing = is_enough(profile, causes("guide", 0.99), {})
    assert nothing == (False, "Not enough yet: nothing was measured that points to a cause.")
    assert is_enough(profile, causes("guide", 0.99)[:1], SEEN)[0]
