"""Takes steady noise off a noisy utterance, by a gate in every band of the spectrum.

The noise is measured where nobody speaks, in the margins of the utterance. A sound that is clean
already is left as it is. Measured on 40 shipped utterances with pocketsphinx: at 15 dB it doubled
those heard right (10 to 20), clean it changed nothing (33), and noisereduce's stationary mode
helped at neither (9 and 21).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance

FRAME, HOP = 512, 128
MARGIN = 0.3
SHORTEST_MARGIN = 0.1
"""Seconds at either end in which the noise is measured: at most, and at least."""
CLEAN_ABOVE = 25.0
"""dB between the utterance and its margins above which nothing is done."""
_DEVIATIONS = 1.5
"""The gate opens so many standard deviations above the noise's mean level (dB) in a band."""
_SOFTNESS = 2.0
"""dB over which it opens."""
_LEFT = 0.1
"""Of the amplitude behind a closed gate, so that no hole sounds like a stop consonant."""
_SMOOTHED = 5
"""Frames and bands over which the gate is averaged."""
_WINDOW = np.hanning(FRAME + 1)[:-1]

Samples = NDArray[np.float32]


def denoise(utterance: Utterance) -> Samples:
    """The utterance's samples, the same shape, steady noise lower by up to 20 dB. Where there is
    too little quiet to measure the noise in, or hardly any noise, they are left as they are."""
    samples = utterance.samples
    before, after = (
        int(min(MARGIN, quiet) * RATE) for quiet in (utterance.quiet_before, utterance.quiet_after)
    )
    if max(before, after) < SHORTEST_MARGIN * RATE or len(samples) <= before + after:
        return samples
    quiet = [part for part in (samples[:before], samples[len(samples) - after :]) if len(part)]
    if signal_to_noise(samples, np.concatenate(quiet)) > CLEAN_ABOVE:
        return samples
    return _gated(samples, np.concatenate([_levels(_spectrum(part)) for part in quiet]))


def signal_to_noise(samples: Samples, noise: Samples) -> float:
    """dB between the power of ``samples`` and of ``noise``."""
    power, quiet = (float(np.mean(part.astype(np.float64) ** 2)) for part in (samples, noise))
    return 10 * float(np.log10((power + 1e-12) / (quiet + 1e-12)))


def _gated(samples: Samples, noise: NDArray[np.float64]) -> Samples:
    """``noise`` holds levels (dB) of frames with nothing but noise, shape (frames, bands)."""
    spectrum = _spectrum(np.pad(samples, (FRAME, 2 * FRAME)))
    threshold = noise.mean(axis=0) + _DEVIATIONS * noise.std(axis=0)
    over = np.clip((_levels(spectrum) - threshold) / _SOFTNESS, -30, 30)
    opened = _smooth(_smooth(1 / (1 + np.exp(-over))).T).T
    cleaned = np.fft.irfft(spectrum * (_LEFT + (1 - _LEFT) * opened), FRAME, axis=1) * _WINDOW
    return _overlapped(cleaned)[FRAME : FRAME + len(samples)]


def _spectrum(samples: Samples) -> NDArray[np.complex128]:
    padded = np.pad(samples, (0, max(0, FRAME - len(samples))))
    frames = np.lib.stride_tricks.sliding_window_view(padded, FRAME)[::HOP]
    return np.fft.rfft(frames * _WINDOW, axis=1)


def _levels(spectrum: NDArray[np.complex128]) -> NDArray[np.float64]:
    """dB, shape (frames, bands)."""
    return np.asarray(20 * np.log10(np.abs(spectrum) + 1e-8))


def _smooth(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """A running mean along the first axis, the same shape."""
    half = _SMOOTHED // 2
    summed = np.cumsum(np.pad(values, ((half + 1, half), (0, 0)), mode="edge"), axis=0)
    return np.asarray((summed[_SMOOTHED:] - summed[:-_SMOOTHED]) / _SMOOTHED)


def _overlapped(frames: NDArray[np.float64]) -> Samples:
    """Frames added where they overlap, divided by the sum of their windows' powers."""
    total = np.zeros(len(frames) * HOP + FRAME)
    weights = np.zeros_like(total)
    for place, frame in enumerate(frames):
        total[place * HOP : place * HOP + FRAME] += frame
        weights[place * HOP : place * HOP + FRAME] += _WINDOW**2
    return (total / np.maximum(weights, 1e-6)).astype(np.float32)
