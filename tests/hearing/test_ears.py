"""The cascade of ears: made when they are needed, and left out when they fail."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from assistant.audio.utterance import Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.ears import Ears
from assistant.hearing.heard import EarHearing
from assistant.hearing.proposals import Proposer
from assistant.profile import load_profile, load_spoken
from tests.hearing.demo_speech import made

SILENCE = made(np.zeros(1600, np.float32))


@dataclass
class Fake:
    name: str
    fails: bool = False

    def hear(self, utterance: Utterance) -> EarHearing:
        if self.fails:
            raise HearingError(f"{self.name} broke. Try again.")
        return EarHearing(self.name, ())

    def close(self) -> None: ...


@dataclass
class Workshop:
    """Makes ears on demand and keeps count of them."""

    broken: tuple[str, ...] = ()
    made: list[str] = field(default_factory=list)

    def make(self, name: str) -> Fake:
        if name in self.broken:
            raise ModelError(f"The model of {name} is damaged. Fetch it again.")
        self.made.append(name)
        return Fake(name)

    def ears(self, *first: Fake) -> Ears:
        proposer = Proposer(load_profile(), load_spoken())
        later = {name: lambda name=name: self.make(name) for name in ("third", "fourth")}
        return Ears(first, {}, proposer, (), later)


def test_an_ear_is_made_when_doubt_first_wakes_it() -> None:
    workshop = Workshop()
    ears = workshop.ears(Fake("first"), Fake("second"))
    assert ears.names == ("first", "second", "third", "fourth")
    listening = ears.listen(SILENCE)
    assert [next(listening).ear for _ in range(2)] == ["first", "second"]
    assert workshop.made == []
    assert next(listening).ear == "third"
    assert workshop.made == ["third"]


def test_ears_made_ready_while_an_utterance_is_heard_take_their_turn_in_it() -> None:
    workshop = Workshop()
    ears = workshop.ears(Fake("first"))
    listening = ears.listen(SILENCE)
    next(listening)
    ears.make_ready()
    assert [hearing.ear for hearing in listening] == ["third", "fourth"]
    assert workshop.made == ["third", "fourth"]


def test_an_ear_that_cannot_be_made_is_told_once_and_the_others_go_on() -> None:
    ears = Workshop(broken=("third",)).ears(Fake("first"))
    for _ in range(2):
        assert [hearing.ear for hearing in ears.listen(SILENCE)] == ["first", "fourth"]
    assert ears.told() == (
        "Going on without the ear third. The model of third is damaged. Fetch it again.",
    )
    assert ears.names == ("first", "fourth")


def test_an_ear_that_fails_is_left_out_of_this_utterance_and_told() -> None:
    ears = Workshop().ears(Fake("first", fails=True), Fake("second"))
    assert [hearing.ear for hearing in ears.listen(SILENCE)] == ["second", "third", "fourth"]
    assert ears.told() == ("The ear first failed and was left out once. first broke. Try again.",)
