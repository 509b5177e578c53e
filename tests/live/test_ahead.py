"""One utterance attended to on a thread of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import ModelError
from assistant.hearing.heard import EarHearing
from assistant.live.ahead import Ahead
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.session import Assistant
from tests.live.said_by_level import Language, LanguageEars


class FailingEars:
    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        raise ModelError("The recognisers could not be started.")


@pytest.fixture
def ears() -> LanguageEars:
    return LanguageEars(Language())


@pytest.fixture
def assistant(tmp_path: Path, ears: LanguageEars) -> Iterator[Assistant]:
    made = open_assistant(Store(tmp_path), load_profile(), ears=ears, trusted=lambda a, b: True)
    yield made
    made.close()


def utterance() -> Utterance:
    return Utterance(np.zeros(RATE, np.float32), RATE, 0.0, 1.0, 0.5, 0.5, "microphone")


def test_what_hearing_raises_is_raised_where_its_result_is_asked_for(tmp_path: Path) -> None:
    assistant = open_assistant(Store(tmp_path), load_profile(), ears=FailingEars())
    ahead = Ahead(assistant, utterance())
    with pytest.raises(ModelError, match="could not be started"):
        _ = ahead.attended
    assert ahead.done


def test_one_that_is_abandoned_before_its_turn_wakes_no_ear(
    assistant: Assistant, ears: LanguageEars
) -> None:
    ears.gate.clear()
    busy = Ahead(assistant, utterance())
    waiting = Ahead(assistant, utterance(), after=busy)
    waiting.abandon()
    busy.abandon()
    assert not waiting.done
    ears.gate.set()
    waiting.wait()
    assert [name for name, _ in ears.woken] == ["a"]


def test_the_slow_ear_is_woken_only_once_the_end_seems_sure(
    assistant: Assistant, ears: LanguageEars
) -> None:
    unsure = Ahead(assistant, utterance())
    unsure.abandon()
    unsure.wait()
    assert "slow" not in [name for name, _ in ears.woken]
    sure = Ahead(assistant, utterance())
    sure.surely()
    assert [ear.ear for ear in sure.attended.heard.ears] == ["a", "b"]
