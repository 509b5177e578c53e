"""The noises are what their names say, come from their seed alone, and mix at the ratio asked."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.random import Generator, default_rng
from numpy.typing import NDArray

from assistant.audio.noise import babble, broadband, fan, hum, impulses, mix, motor
from assistant.audio.utterance import RATE

Samples = NDArray[np.float32]
N = 4 * RATE


def chatter(n: int, rng: Generator) -> Samples:
    voices = [default_rng(seed).standard_normal(RATE).astype(np.float32) for seed in range(3)]
    return babble(n, rng, voices)


ALL = [broadband, hum, motor, fan, impulses, chatter]


@pytest.mark.parametrize("make", ALL)
def test_every_noise_has_mean_square_one_and_depends_on_its_seed_alone(
    make: Callable[[int, Generator], Samples],
) -> None:
    first, again, other = (make(N, default_rng(seed)) for seed in (1, 1, 2))
    assert first.shape == (N,)
    assert first.dtype == np.float32
    assert np.mean(np.square(first)) == pytest.approx(1, rel=1e-3)
    np.testing.assert_array_equal(first, again)
    assert not np.array_equal(first, other)


@pytest.mark.parametrize(("exponent", "db_per_octave"), [(0, 0), (1, -3.01), (2, -6.02)])
def test_broadband_power_falls_by_three_decibels_an_octave_for_each_exponent(
    exponent: float, db_per_octave: float
) -> None:
    # 1/f**a halves a times per octave: 10·log10(2) = 3.01 dB each.
    power = np.abs(np.fft.rfft(broadband(64 * RATE, default_rng(3), exponent))) ** 2
    low, high = (np.mean(power[64 * a : 64 * b]) for a, b in ((480, 520), (1920, 2080)))
    assert 10 * np.log10(high / low) / 2 == pytest.approx(db_per_octave, abs=0.15)


def test_hum_lies_at_the_mains_frequency_and_its_multiples_only() -> None:
    power = np.abs(np.fft.rfft(hum(RATE, default_rng(4), mains=50, harmonics=12))) ** 2
    at_harmonics = power[50:601:50]
    assert np.sum(at_harmonics) / np.sum(power) > 0.999
    assert at_harmonics[0] / at_harmonics[1] == pytest.approx(4, rel=0.01)


@given(snr=st.floats(-10, 40), lead=st.floats(0, 3), seed=st.integers(0, 100))
def test_mix_gives_the_ratio_asked_whatever_the_silence_around_the_speech(
    snr: float, lead: float, seed: int
) -> None:
    rng = default_rng(seed)
    voiced = 0.01 * broadband(RATE, rng)
    silence = np.zeros(round(lead * 100) * RATE // 100, np.float32)
    speech = np.concatenate((silence, voiced, silence))
    mixed = mix(speech, broadband(len(speech), rng), snr)
    noise = mixed - speech
    ratio = 10 * np.log10(np.mean(np.square(voiced)) / np.mean(np.square(noise)))
    assert ratio == pytest.approx(snr, abs=0.5)


def test_mix_never_clips() -> None:
    rng = default_rng(5)
    assert np.abs(mix(0.9 * broadband(RATE, rng), broadband(RATE, rng), -20)).max() <= 0.99


def test_noise_shorter_than_the_speech_is_refused() -> None:
    with pytest.raises(ValueError, match="as long"):
        mix(np.ones(10, np.float32), np.ones(9, np.float32), 10)
