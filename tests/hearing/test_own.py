"""The ear that ships, on the shipped recordings, on sounds that nobody said, and as a file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from demo_speech import every, made, said

from assistant.audio.utterance import RATE
from assistant.errors import HearingError, ModelError
from assistant.hearing.log_mel import log_mel
from assistant.hearing.own import LONGEST, SHA256, AcousticModel, OwnEar, verified
from assistant.hearing.recogniser import Recogniser
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.shipped import shipped

MODEL = shipped("models") / "own.onnx"
GRAPH = word_graph(load_profile(), load_spoken())


@pytest.fixture(scope="module")
def ear() -> OwnEar:
    profile, spoken = load_profile(), load_spoken()
    own = {**spoken.pronunciations, **profile.profile.pronunciations}
    return OwnEar(GRAPH, own)


def test_it_is_a_recogniser(ear: OwnEar) -> None:
    assert isinstance(ear, Recogniser)


@pytest.mark.parametrize("words", ["guide front forty six", "guide front one oh two"])
def test_a_reading_is_heard(ear: OwnEar, words: str) -> None:
    assert ear.hear(said(words)).hypotheses[0].text == words


def test_a_reading_fits_the_grammar_nearly_as_well_as_free_phones(ear: OwnEar) -> None:
    gap = ear.hear(said("guide front forty six")).off_grammar
    assert gap is not None
    assert 0 <= gap < 5


def test_words_have_times_in_the_source(ear: OwnEar) -> None:
    utterance = replace(said("guide front forty six"), start=7.0)
    words = ear.hear(utterance).hypotheses[0].words
    times = [time for word in words for time in (word.start, word.end)]
    assert times == sorted(times)
    assert times[0] > 7.2
    assert times[-1] < 7.0 + len(utterance.samples) / RATE - 0.2
    assert all(0 < word.confidence <= 1 for word in words)


def test_the_same_sound_is_heard_the_same_whatever_was_heard_before(ear: OwnEar) -> None:
    utterance = said("guide front one oh two")
    first = ear.hear(utterance)
    ear.hear(said("guide front forty six"))
    assert ear.hear(utterance) == first


def _still() -> dict[str, np.ndarray]:
    time = np.arange(2 * RATE) / RATE
    return {
        "digital silence": np.zeros(2 * RATE),
        "mains hum": 0.1 * np.sin(2 * np.pi * 50 * time),
        "a tone": 0.3 * np.sin(2 * np.pi * 1000 * time),
        "white noise": 0.05 * np.random.default_rng(0).standard_normal(2 * RATE),
    }


@pytest.mark.parametrize("name", list(_still()))
def test_nothing_is_heard_where_nothing_is_said(ear: OwnEar, name: str) -> None:
    assert ear.hear(made(_still()[name])).hypotheses == ()


def test_sound_as_short_as_a_click_is_no_error(ear: OwnEar) -> None:
    assert ear.hear(made(np.zeros(10))).hypotheses == ()


def test_sound_longer_than_the_model_knows_is_refused(ear: OwnEar) -> None:
    with pytest.raises(HearingError, match="Pause between readings"):
        ear.hear(made(np.zeros(int((LONGEST + 1) * RATE))))


def test_sound_at_another_rate_is_refused(ear: OwnEar) -> None:
    with pytest.raises(HearingError, match="resample"):
        ear.hear(replace(made(np.zeros(8000)), rate=8000))


def test_scores_are_probabilities_fifty_times_a_second() -> None:
    scores = AcousticModel(MODEL, SHA256).scores(np.zeros(RATE, np.float32))
    assert scores.shape == (60, 41)  # a second and a tenth on each side
    np.testing.assert_allclose(np.exp(scores).sum(axis=1), 1, atol=1e-4)


def test_the_shipped_file_is_small_and_the_one_expected() -> None:
    assert len(verified(MODEL, SHA256)) <= 12_000_000


def test_a_damaged_file_is_refused(tmp_path: Path) -> None:
    damaged = tmp_path / "own.onnx"
    damaged.write_bytes(MODEL.read_bytes()[:-1] + b"\0")
    with pytest.raises(ModelError, match="damaged"):
        AcousticModel(damaged, SHA256)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match=r"nowhere\.onnx"):
        AcousticModel(tmp_path / "nowhere.onnx", SHA256)


def test_features_are_whisper_s() -> None:
    # Reference: the feature extractor of faster-whisper, an implementation of its own.
    extractor = pytest.importorskip("faster_whisper.feature_extractor").FeatureExtractor()
    sound = np.random.default_rng(3).standard_normal(RATE).astype(np.float32) * 0.1
    np.testing.assert_allclose(log_mel(sound), extractor(sound, padding=0)[:, :100], atol=1e-5)


def test_the_shipped_recordings_are_heard_as_they_were_said(ear: OwnEar) -> None:
    sayable = [(words, sound) for words, sound in every() if GRAPH.accepts(words.split())]
    right = sum(
        [h.text for h in ear.hear(sound).hypotheses[:1]] == [words] for words, sound in sayable
    )
    # Measured when the model was made; a worse one must not slip in.
    assert len(sayable) >= 30
    assert right >= 0.9 * len(sayable)
