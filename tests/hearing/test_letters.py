"""The own ear's twin on the shipped recordings, and beside the own ear."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from demo_speech import said

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.letters import LettersEar
from assistant.hearing.own import OwnEar
from assistant.hearing.recogniser import Recogniser
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.profile.word_graph import WordGraph

GRAPH = WordGraph(((0, "front", 1), (0, "rear", 1)), 0, frozenset({1}))


@pytest.fixture(scope="module")
def twins() -> tuple[OwnEar, LettersEar]:
    profile, spoken = load_profile(), load_spoken()
    graph = word_graph(profile, spoken)
    own = {**spoken.pronunciations, **profile.profile.pronunciations}
    return OwnEar(graph, own), LettersEar(graph, own)


def test_it_is_a_recogniser(twins: tuple[OwnEar, LettersEar]) -> None:
    assert isinstance(twins[1], Recogniser)
    assert twins[1].name == "letters"


@pytest.mark.parametrize("words", ["guide front forty six", "guide front one oh two"])
def test_both_twins_hear_a_reading(words: str, twins: tuple[OwnEar, LettersEar]) -> None:
    assert [ear.hear(said(words)).hypotheses[0].text for ear in twins] == [words, words]


def test_the_twins_are_two_models_and_not_one(twins: tuple[OwnEar, LettersEar]) -> None:
    first, second = (ear.hear(said("guide front forty six")) for ear in twins)
    assert first.hypotheses[0].confidence != second.hypotheses[0].confidence


def test_silence_is_no_word(twins: tuple[OwnEar, LettersEar]) -> None:
    still = Utterance(np.zeros(2 * RATE, np.float32), RATE, 0.0, 2.0, 0.2, 0.2, "still")
    assert twins[1].hear(still).hypotheses == ()


def test_sound_at_another_rate_is_refused_by_its_own_name(
    twins: tuple[OwnEar, LettersEar],
) -> None:
    other = Utterance(np.zeros(8000, np.float32), 8000, 0.0, 1.0, 0.2, 0.2, "other")
    with pytest.raises(HearingError, match="The ear letters takes sound at 16000 Hz"):
        twins[1].hear(other)


def test_another_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letters.onnx").write_bytes(b"not the model")
    with pytest.raises(ModelError, match=r"ear letters .* is damaged or another"):
        LettersEar(GRAPH, {}, tmp_path / "letters.onnx")
