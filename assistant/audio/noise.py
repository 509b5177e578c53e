"""Noises of a workshop and a lawn, made from a seeded generator, and mixing at a given ratio.

The demo's sound, tests and benchmarks are made with it; nothing on the way of a reading is.

Each noise has shape (n,), 16 kHz, mean square 1; scale it, or let ``mix`` do so.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from assistant.audio.levels import STEP
from assistant.audio.utterance import RATE

Samples = NDArray[np.float32]
_ACTIVE_DB = 30.0
"""Speech is active where it is less than this below its loud parts; pauses don't count."""


def broadband(n: int, rng: Generator, exponent: float = 0.0) -> Samples:
    """Noise whose power falls with frequency as 1/f**exponent: 0 white, 1 pink, 2 brown."""
    spectrum = np.fft.rfft(rng.standard_normal(n))
    frequency = np.maximum(np.fft.rfftfreq(n, 1 / RATE), 20.0)
    return _unit(np.fft.irfft(spectrum * frequency ** (-exponent / 2), n))


def hum(n: int, rng: Generator, mains: float = 50.0, harmonics: int = 12) -> Samples:
    """Mains hum: ``mains`` Hz and its multiples, falling as 1/k, in random phase."""
    order = np.arange(1, harmonics + 1)
    phase = rng.uniform(0, 2 * np.pi, harmonics)
    return _tones(np.full(n, mains), order, phase)


def motor(n: int, rng: Generator, hertz: float = 120.0, wander: float = 0.15) -> Samples:
    """A motor whose speed wanders slowly by ± ``wander`` of itself, with brush noise on top."""
    knots = n * 2 // RATE + 2
    slow = np.interp(np.linspace(0, knots - 1, n), np.arange(knots), rng.standard_normal(knots))
    speed = hertz * (1 + wander * np.clip(slow, -2, 2) / 2)
    tones = _tones(speed, np.arange(1, 25), rng.uniform(0, 2 * np.pi, 24))
    return _unit(tones + 0.5 * broadband(n, rng, 1.0))


def fan(n: int, rng: Generator, blade_hertz: float = 85.0) -> Samples:
    """Rushing air whose strength beats with the passing blades."""
    time = np.arange(n) / RATE
    beat = 1 + 0.4 * np.sin(2 * np.pi * blade_hertz * time + rng.uniform(0, 2 * np.pi))
    return _unit(broadband(n, rng, 1.5) * beat)


def impulses(n: int, rng: Generator, per_second: float = 2.0) -> Samples:
    """Knocks of dropped tools: bursts that ring down within about 30 ms, at random times."""
    out = np.zeros(n)
    time = np.arange(RATE // 10) / RATE
    for start in rng.integers(0, n, max(1, rng.poisson(per_second * n / RATE))):
        ring = np.sin(2 * np.pi * rng.uniform(400, 4000) * time) + rng.standard_normal(len(time))
        knock = rng.uniform(0.3, 1.0) * ring * np.exp(-time / rng.uniform(0.005, 0.03))
        end = min(n, int(start) + len(knock))
        out[start:end] += knock[: end - start]
    return _unit(out)


def babble(n: int, rng: Generator, voices: Sequence[Samples], talkers: int = 5) -> Samples:
    """Chatter: ``talkers`` of the given ``voices`` at once, each from a random place, looped."""
    out = np.zeros(n)
    for _ in range(talkers):
        voice = voices[int(rng.integers(len(voices)))]
        out += np.resize(np.roll(voice, -int(rng.integers(len(voice)))), n)
    return _unit(out)


def mix(speech: Samples, noise: Samples, snr_db: float) -> Samples:
    """``speech`` with ``noise`` (as long or longer) ``snr_db`` below the level of its active parts.

    The pauses don't count as speech, so lead and tail don't change the ratio. The sum is made
    softer, as a whole, where it would clip.
    """
    if len(noise) < len(speech):
        raise ValueError("noise must be at least as long as the speech")
    under = noise[: len(speech)]
    power = float(np.mean(np.square(under)))
    gain = np.sqrt(_active_power(speech) / power / 10 ** (snr_db / 10)) if power > 0 else 0.0
    mixed = speech + gain * under
    return np.asarray(mixed / max(1.0, float(np.abs(mixed).max(initial=0)) / 0.99), np.float32)


def _active_power(speech: Samples) -> float:
    count = len(speech) // STEP
    if count == 0:
        return float(np.mean(np.square(speech)))
    power = np.mean(np.square(speech[: count * STEP].reshape(count, STEP)), axis=1)
    loud = np.percentile(power, 95)
    return float(np.mean(power[power >= loud / 10 ** (_ACTIVE_DB / 10)]))


def _tones(
    hertz: NDArray[np.float64], order: NDArray[np.int_], phase: NDArray[np.float64]
) -> Samples:
    angle = 2 * np.pi * np.cumsum(hertz) / RATE
    total = np.zeros(len(hertz))
    for k, start in zip(order, phase, strict=True):
        total += np.sin(k * angle + start) / k
    return _unit(total)


def _unit(samples: NDArray[np.floating]) -> Samples:
    rms = float(np.sqrt(np.mean(np.square(samples))))
    return np.asarray(samples / rms if rms > 0 else samples, np.float32)
