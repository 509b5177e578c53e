"""A second say is held against the first: it may settle the question, or raise the bar."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.hearing.heard import EarHearing, Heard, HeardWord, Hypothesis
from assistant.profile import load_profile, load_spoken
from assistant.settling.agreement import MOST_ODDS
from assistant.settling.answer import answered
from assistant.settling.doubts import LEAST_ODDS, LEAST_ODDS_ALIKE
from assistant.settling.settle import settle
from assistant.settling.settled import Doubt, Expectation, OpenQuestion, Settled
from assistant.wording.parser import Parser

PROFILE = load_profile()
PARSER = Parser(PROFILE, load_spoken())
ASKED = OpenQuestion("7", "wire_shift", None, ("close",), (), "40", 3.0)


def trusted(_first: str, _second: str) -> bool:
    return True


def accepted(text: str, odds: float | None) -> Settled:
    """What two ears agreed on beyond doubt, as it is before any question is looked at."""
    words = tuple(HeardWord(word, 0.5 + i, 1.0 + i, 0.9) for i, word in enumerate(text.split()))
    ears = tuple(EarHearing(name, (Hypothesis(words, 0.9),)) for name in ("a", "b"))
    heard = Heard("a.wav", 0.0, 4.0, 0.5, 0.8, ears)
    *_, one = settle(heard, PARSER.parse, Expectation(), PROFILE, trusted)
    assert one.status == "accepted"
    return replace(one, odds=odds)


def answer(text: str, odds: float | None, question: OpenQuestion, alike: bool = False) -> Settled:
    given = answered(accepted(text, odds), Expectation(question=question), trusted, alike)
    assert given.answers == "7"
    return given


@pytest.mark.parametrize(
    ("said", "odds", "before", "doubts"),
    [
        ("fifty", LEAST_ODDS + 3.0, 3.0, ()),
        ("fifty", LEAST_ODDS + 2.9, 3.0, ("close",)),
        ("forty", LEAST_ODDS + 0.1, 3.0, ()),
        ("fifty", LEAST_ODDS_ALIKE, 9.0, ()),
        ("fifty", LEAST_ODDS_ALIKE - 0.1, 9.0, ("close",)),
        ("fifty", LEAST_ODDS, -2.0, ()),
        ("fifty", None, 9.0, ()),
    ],
)
def test_an_answer_that_contradicts_the_first_say_must_outweigh_it(
    said: str, odds: float | None, before: float, doubts: tuple[str, ...]
) -> None:
    given = answer(f"wire shift {said}", odds, replace(ASKED, odds=before))
    assert given.doubts == doubts
    assert given.status == ("asked" if doubts else "accepted")


@pytest.mark.parametrize(
    ("first", "alike", "odds", "doubts"),
    [
        ("alike", True, 2 * MOST_ODDS - 0.1, ("alike",)),
        ("alike", True, 2 * MOST_ODDS, ()),
        ("alike", False, 2 * MOST_ODDS - 0.1, ()),
        ("close", True, 2 * MOST_ODDS - 0.1, ()),
    ],
)
def test_a_number_that_sounds_like_another_is_said_digit_by_digit_or_heard_beyond_all_doubt(
    first: Doubt, alike: bool, odds: float, doubts: tuple[str, ...]
) -> None:
    question = replace(ASKED, doubts=(first,))
    assert answer("wire shift forty", odds, question, alike).doubts == doubts


def test_a_context_of_the_first_say_that_the_second_leaves_out_is_asked_for() -> None:
    question = replace(ASKED, context={"station": "docked"})
    assert answer("wire shift forty", 9.0, question).missing == ("station",)
    assert answer("docked wire shift forty", 9.0, question).missing == ()
    assert answer("undocked wire shift forty", 9.0, question).missing == ()


def test_what_answers_nothing_is_left_as_it_is() -> None:
    alone = accepted("wire shift forty", 9.0)
    assert answered(alone, Expectation(), trusted) is alone
    other = accepted("tilt two", 9.0)
    assert answered(other, Expectation(question=ASKED), trusted) is other
