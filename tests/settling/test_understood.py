"""Free words give way to a phrase that means something here; odds come from an ear's own shares."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.heard import EarHearing, Heard, HeardWord, Hypothesis
from assistant.profile import load_profile, load_spoken
from assistant.settling.believed import OFF_GRAMMAR, TALK, TALK_FROM
from assistant.settling.doubts import (
    LEAST_ODDS,
    LEAST_ODDS_ALIKE,
    LEAST_ODDS_ALIKE_CALM,
)
from assistant.settling.kin import KIN_SURE
from assistant.settling.meaning import key
from assistant.settling.settle import settle
from assistant.settling.settled import Expectation, Settled
from assistant.settling.understood import (
    FREE_WORDS_LEAD,
    SUREST,
    WEAK_BEYOND,
    Understood,
    meaning_of,
    understand,
)
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid

PROFILE = load_profile()
PARSER = Parser(PROFILE, load_spoken())
MEANINGS = meaning_of(PARSER.parse, Expectation(), PROFILE)


def ear(name: str, *phrases: tuple[str, float], shares: bool = True) -> EarHearing:
    hypotheses = tuple(
        Hypothesis(tuple(HeardWord(w, 0.5, 0.9, 0.9) for w in text.split()), share)
        for text, share in phrases
    )
    return EarHearing(name, hypotheses, shares=shares, open_vocabulary=True)


def heard(*ears: EarHearing) -> Heard:
    return Heard("a.wav", 0.0, 3.0, 0.5, 0.5, ears)


def one(hearing: EarHearing) -> Understood:
    [found] = understand(heard(hearing), MEANINGS)
    return found


def settled(*ears: EarHearing, calm: bool = False) -> Settled:
    [found] = settle(
        replace(heard(*ears), calm=calm),
        PARSER.parse,
        Expectation(),
        PROFILE,
        lambda _a, _b: True,
        PARSER.mishearings,
    )
    return found


@pytest.mark.parametrize(("lead", "believed"), [(FREE_WORDS_LEAD - 0.01, True),
                                                (FREE_WORDS_LEAD + 0.01, False)])  # fmt: skip
def test_free_words_give_way_unless_they_lead_by_far(lead: float, believed: bool) -> None:
    phrases = ("dock blue front minus 48", 1.0), ("guide front minus 48", math.exp(-lead))
    text = " ".join(word.text for word in one(ear("whisper", *phrases)).words)
    assert (text == "guide front minus 48") is believed


def test_of_two_phrases_that_are_understood_the_likelier_is_taken() -> None:
    found = one(ear("whisper", ("guide front 30", 0.6), ("guide front 13", 0.4)))
    assert found.words[-1].text == "30"


@given(share=st.floats(0.01, 0.99))
def test_odds_are_those_of_the_shares_whatever_is_lost_in_free_words(share: float) -> None:
    found = one(
        ear(
            "whisper",
            ("guide front 30", 0.5 * share),
            ("guide front 13", 0.5 * (1 - share)),
            ("gone from thirteen", 0.5),
        )
    )
    expected = math.log(share / (1 - share))
    assert found.odds(key(found.meant[0])) == pytest.approx(expected, abs=1e-6)


def test_an_ear_that_gives_no_other_phrase_is_as_sure_as_can_be_and_some_tell_nothing() -> None:
    sure = one(ear("own", ("guide front 30", 1.0)))
    assert sure.odds(key(sure.meant[0])) == SUREST
    assert sure.odds("something else") == -SUREST
    mute = one(ear("vosk", ("guide front 30", 1.0), shares=False))
    assert mute.odds(key(mute.meant[0])) is None


def shared(odds: float, first: str, second: str) -> tuple[tuple[str, float], tuple[str, float]]:
    share = 1 / (1 + math.exp(-odds))
    return (first, share), (second, 1 - share)


@pytest.mark.parametrize(
    ("calm", "odds", "said", "other", "doubts"),
    [
        (False, LEAST_ODDS - 0.01, "75", "79", ("close",)),
        (False, LEAST_ODDS + 0.01, "75", "79", ()),
        (False, LEAST_ODDS_ALIKE - 0.01, "thirty", "thirteen", ("alike",)),
        (False, LEAST_ODDS_ALIKE + 0.01, "thirty", "thirteen", ()),
        (True, LEAST_ODDS - 0.01, "75", "79", ("close",)),
        (True, LEAST_ODDS_ALIKE_CALM - 0.01, "thirty", "thirteen", ("alike",)),
        (True, LEAST_ODDS_ALIKE_CALM + 0.01, "thirty", "thirteen", ()),
    ],
)
def test_what_the_ears_together_hold_for_nearly_as_likely_is_asked_about(
    calm: bool, odds: float, said: str, other: str, doubts: tuple[str, ...]
) -> None:
    phrases = shared(odds / 2, f"guide front {said}", f"guide front {other}")
    found = settled(ear("own", *phrases), ear("whisper", *phrases), calm=calm)
    assert found.doubts == doubts
    assert found.status == ("asked" if doubts else "accepted")


@pytest.mark.parametrize(
    ("own", "letters", "status"),
    [
        (KIN_SURE, KIN_SURE, "accepted"),
        (KIN_SURE + 3, KIN_SURE - 0.01, "asked"),
        (KIN_SURE - 0.01, KIN_SURE + 3, "asked"),
    ],
)
def test_two_ears_of_one_make_must_both_be_very_sure(
    own: float, letters: float, status: str
) -> None:
    phrases = ("guide front 75", "guide front 79")
    found = settled(ear("own", *shared(own, *phrases)), ear("letters", *shared(letters, *phrases)))
    assert found.status == status


@pytest.mark.parametrize(("third", "status"), [(LEAST_ODDS - 4.01, "asked"),
                                               (LEAST_ODDS - 3.99, "accepted")])  # fmt: skip
def test_two_ears_of_one_make_count_once_beside_another(third: float, status: str) -> None:
    phrases = ("guide front 75", "guide front 79")
    found = settled(
        ear("own", *shared(4.0, *phrases)),
        ear("letters", *shared(6.0, *phrases)),
        ear("whisper", *shared(third, *phrases)),
    )
    assert found.status == status


@pytest.mark.parametrize(("behind", "taken_off"), [(WEAK_BEYOND, 0.0), (WEAK_BEYOND + 3.0, 3.0)])
def test_what_lies_far_behind_free_words_is_confirmed_the_less(
    behind: float, taken_off: float
) -> None:
    found = one(ear("whisper", ("guy from minus t1", 1.0), ("guide front 21", math.exp(-behind))))
    assert found.odds(key(found.meant[0])) == pytest.approx(SUREST - taken_off)


def test_an_ear_that_agrees_in_nothing_adds_no_reading_of_its_own() -> None:
    first, third = ear("own", ("guide front 102", 1.0)), ear("c", ("tilt one", 1.0))
    found = settle(heard(first, third), PARSER.parse, Expectation(), PROFILE, lambda _a, _b: True)
    assert [s.statement.heard for s in found] == ["guide front 102"]


def test_a_reading_that_one_ear_adds_to_what_it_agrees_on_is_not_lost() -> None:
    first = ear("own", ("guide front 102", 1.0))
    more = ear("c", ("guide front 102 rear 98", 1.0))
    found = settle(heard(first, more), PARSER.parse, Expectation(), PROFILE, lambda _a, _b: True)
    assert len(found) == 2


@pytest.mark.parametrize(("words", "taken"), [("26 millimetres", True), ("26 ohms", False)])
def test_a_bare_number_with_a_unit_of_something_else_is_no_answer(words: str, taken: bool) -> None:
    expected = Expectation({}, "wire_shift")
    [found] = settle(
        heard(ear("a", (words, 1.0)), ear("b", (words, 1.0))),
        PARSER.parse, expectation=expected, profile=PROFILE, trusted=lambda _a, _b: True,
    )  # fmt: skip
    assert isinstance(found.statement, ReadingSaid) is taken


@pytest.mark.parametrize("free", ["the weather is fine", "guide front 102"])
def test_talk_that_two_kinds_of_ear_find_off_the_grammar_is_not_asked_about(free: str) -> None:
    off = EarHearing("own", ear("own", ("guide front 7", 1.0)).hypotheses, off_grammar=20.0,
                     shares=True)  # fmt: skip
    third = ear("pocketsphinx", ("guide front 5", 1.0), shares=False)
    found = settle(
        heard(off, ear("whisper", (free, 1.0)), third),
        PARSER.parse, Expectation(), PROFILE, lambda _a, _b: True,
    )  # fmt: skip
    readings = [s for s in found if isinstance(s.statement, ReadingSaid)]
    assert bool(readings) is (free == "guide front 102")


@pytest.mark.parametrize(("behind", "obeyed"), [(WEAK_BEYOND - 0.01, True),
                                                (WEAK_BEYOND + 0.01, False)])  # fmt: skip
def test_a_command_that_is_off_the_grammar_and_far_behind_free_words_is_not_obeyed(
    behind: float, obeyed: bool
) -> None:
    """ "Stand over there and hold this for me" is "stand by" to ears that know nothing else."""
    off = EarHearing("own", ear("own", ("stand by", 1.0)).hypotheses, off_grammar=900.0,
                     shares=True)  # fmt: skip
    phrases = ("stand over there and hold this for me", 1.0), ("stand by", math.exp(-behind))
    found = settle(
        heard(off, ear("whisper", *phrases)), PARSER.parse, Expectation(), PROFILE,
        lambda _a, _b: True,
    )  # fmt: skip
    assert [one.status for one in found] == (["accepted"] if obeyed else ["nothing"])


@pytest.mark.parametrize(("gap", "reason"), [(TALK_FROM, OFF_GRAMMAR), (TALK_FROM + 1, TALK)])
def test_what_lies_very_far_off_the_grammar_is_talk_that_wants_no_answer(
    gap: float, reason: str
) -> None:
    off = EarHearing("own", ear("own", ("guide front 7", 1.0)).hypotheses, off_grammar=gap,
                     shares=True)  # fmt: skip
    found = settle(
        heard(off, ear("whisper", ("the weather is fine", 1.0))), PARSER.parse, Expectation(),
        PROFILE, lambda _a, _b: True,
    )  # fmt: skip
    assert [one.statement.reason for one in found] == [reason]  # type: ignore[union-attr]


@pytest.mark.parametrize(("third", "status"), [("guide front 102", "accepted"),
                                               ("docked guide front 102", "asked")])  # fmt: skip
def test_a_context_that_a_third_ear_alone_heard_is_asked_about(third: str, status: str) -> None:
    own, whisper = (ear(name, ("guide front 102", 1.0)) for name in ("own", "whisper"))
    found = settled(own, whisper, ear("letters", (third, 1.0)))
    assert found.status == status
    assert found.doubts == (("context",) if status == "asked" else ())
