"""The ear that is always there, on the shipped recordings and on sounds that nobody said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo_speech import made, said

from assistant.errors import HearingError
from assistant.hearing.pocketsphinx_ear import PocketsphinxEar
from assistant.hearing.recogniser import Recogniser
from assistant.profile.word_graph import WordGraph

LABELS = ("guide", "boundary"), ("front", "rear")
DIGITS = ("oh", "one", "wun", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def _readings() -> WordGraph:
    """undocked, or label, position and one to three figures or tens and figure."""
    arcs = [(0, "undocked", 6)]
    arcs += [(place, word, place + 1) for place, words in enumerate(LABELS) for word in words]
    arcs += [(place, word, place + 1) for place in (2, 3, 4) for word in DIGITS]
    arcs += [(2, word, 3) for word in ("forty", "ninety")]
    return WordGraph(tuple(arcs), 0, frozenset({3, 4, 5, 6}))


@pytest.fixture(scope="module")
def ear() -> PocketsphinxEar:
    return PocketsphinxEar(_readings(), {"undocked": "AH N D AA K T"})


def test_it_is_a_recogniser(ear: PocketsphinxEar) -> None:
    assert isinstance(ear, Recogniser)


@pytest.mark.parametrize("words", ["guide front forty six", "guide front one oh two"])
def test_a_reading_is_heard(ear: PocketsphinxEar, words: str) -> None:
    assert ear.hear(said(words)).hypotheses[0].text == words


def test_words_have_times_in_the_source(ear: PocketsphinxEar) -> None:
    utterance = said("guide front forty six")
    words = ear.hear(utterance).hypotheses[0].words
    times = [time for word in words for time in (word.start, word.end)]
    assert times == sorted(times)
    assert utterance.start + 0.2 < times[0]
    assert times[-1] < utterance.end - 0.2
    assert all(0 < word.confidence < 1 for word in words)


def test_the_same_sound_is_heard_the_same_whatever_was_heard_before(ear: PocketsphinxEar) -> None:
    utterance = said("guide front one oh two")
    first = ear.hear(utterance)
    ear.hear(said("guide front forty six"))
    assert ear.hear(utterance) == first


def test_speech_off_the_grammar_fits_worse_than_a_reading(ear: PocketsphinxEar) -> None:
    reading = ear.hear(said("guide front forty six"))
    chatter = ear.hear(said("contact faces pitted"))
    assert reading.off_grammar is not None
    assert not chatter.hypotheses or chatter.off_grammar > reading.off_grammar + 50


def test_of_words_that_sound_alike_the_dictionary_has_its_own(ear: PocketsphinxEar) -> None:
    assert "wun" not in ear.hear(said("guide front one oh two")).hypotheses[0].text.split()


def test_silence_gives_nothing(ear: PocketsphinxEar) -> None:
    assert ear.hear(made(np.zeros(32_000))).hypotheses == ()


def test_hiss_of_a_quiet_room_gives_nothing(ear: PocketsphinxEar) -> None:
    hiss = np.random.default_rng(1).normal(0, 3e-4, 32_000)
    assert ear.hear(made(hiss)).hypotheses == ()


@pytest.mark.parametrize("level", [0.003, 0.1])
def test_steady_noise_gives_nothing(ear: PocketsphinxEar, level: float) -> None:
    noise = np.random.default_rng(2).normal(0, level, 48_000)
    assert ear.hear(made(noise)).hypotheses == ()


def test_a_knock_gives_nothing(ear: PocketsphinxEar) -> None:
    knock = np.random.default_rng(2).normal(0, 1e-3, 32_000)
    knock[12_000:14_000] += np.random.default_rng(3).normal(0, 0.3, 2_000) * np.hanning(2_000)
    assert ear.hear(made(knock)).hypotheses == ()


def test_an_empty_utterance_gives_nothing(ear: PocketsphinxEar) -> None:
    assert ear.hear(made(np.zeros(0))).hypotheses == ()


def test_sound_of_another_rate_is_refused(ear: PocketsphinxEar) -> None:
    with pytest.raises(HearingError, match="44100 Hz"):
        ear.hear(replace(made(np.zeros(44_100)), rate=44_100))
