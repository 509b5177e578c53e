"""The gate lowers steady noise, keeps what stands out of it, and leaves clean sound alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo_speech import made

from assistant.audio.utterance import RATE
from assistant.hearing.denoise import denoise, signal_to_noise

QUIET = slice(0, RATE // 4)
LOUD = slice(RATE + 800, 2 * RATE - 800)


def _tone_in_noise(level: float) -> np.ndarray:
    """3 s of noise, a tone of amplitude 0.2 in the second second."""
    sound = np.random.default_rng(2).normal(0, level, 3 * RATE)
    sound[RATE : 2 * RATE] += 0.2 * np.sin(2 * np.pi * 700 * np.arange(RATE) / RATE)
    return sound


def _rms(samples: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(samples))))


def test_noise_falls_and_the_tone_stays() -> None:
    noisy = made(_tone_in_noise(0.05))
    cleaned = denoise(noisy)
    assert cleaned.shape == noisy.samples.shape
    assert _rms(cleaned[QUIET]) < 0.3 * _rms(noisy.samples[QUIET])
    assert _rms(cleaned[LOUD]) == pytest.approx(0.2 / np.sqrt(2), rel=0.2)


def test_clean_sound_is_left_as_it_is() -> None:
    clean = made(_tone_in_noise(1e-4))
    assert denoise(clean) is clean.samples


def test_without_quiet_to_measure_in_nothing_is_done() -> None:
    clipped = replace(made(_tone_in_noise(0.05)), quiet_before=0.02, quiet_after=0.0)
    assert denoise(clipped) is clipped.samples


def test_quiet_at_one_end_is_enough() -> None:
    one_sided = replace(made(_tone_in_noise(0.05)), quiet_before=0.0)
    assert _rms(denoise(one_sided)[QUIET]) < 0.3 * _rms(one_sided.samples[QUIET])


@pytest.mark.parametrize("length", [0, 1, 100, 511, 5_000])
def test_short_sounds_keep_their_length(length: int) -> None:
    assert len(denoise(made(np.full(length, 0.1)))) == length


def test_a_ratio_of_ten_in_power_is_ten_decibels() -> None:
    quiet = np.full(100, 0.1, np.float32)
    assert signal_to_noise(quiet * np.float32(np.sqrt(10)), quiet) == pytest.approx(10, abs=1e-4)
