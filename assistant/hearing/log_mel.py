"""Log-mel features as Whisper defines them, in plain numpy: 80 bands, 100 frames a second."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE

WINDOW, HOP, BANDS = 400, 160, 80

Floats = NDArray[np.float32]


def log_mel(samples: Floats) -> Floats:
    """[80, samples // 160] of mono sound at 16 kHz in −1…1; shorter than 400 samples is padded."""
    if samples.size < WINDOW:
        samples = np.pad(samples, (0, WINDOW - samples.size))
    padded = np.pad(samples.astype(np.float32), WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP]
    frames = frames[: samples.size // HOP]
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(WINDOW) / WINDOW)
    spectrum = np.fft.rfft(frames * window.astype(np.float32), axis=1)
    power = (spectrum.real**2 + spectrum.imag**2).astype(np.float32)
    mel = np.log10(np.maximum(filters() @ power.T, 1e-10))
    mel = np.maximum(mel, mel.max() - 8.0)
    return np.asarray((mel + 4.0) / 4.0, np.float32)


@cache
def filters() -> Floats:
    """[80, 201] triangles on Slaney's mel scale (linear below 1 kHz), each of unit area."""
    edges = _hertz(np.linspace(_mel(0.0), _mel(RATE / 2), BANDS + 2))
    lines = np.linspace(0, RATE / 2, WINDOW // 2 + 1)
    rise = (lines[None] - edges[:-2, None]) / (edges[1:-1] - edges[:-2])[:, None]
    fall = (edges[2:, None] - lines[None]) / (edges[2:] - edges[1:-1])[:, None]
    triangles = np.maximum(0, np.minimum(rise, fall))
    return np.asarray(triangles * (2 / (edges[2:] - edges[:-2]))[:, None], np.float32)


def _mel(hertz: float) -> float:
    return hertz * 3 / 200 if hertz < 1000 else 15 + float(np.log(hertz / 1000)) * 27 / np.log(6.4)


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(mel < 15, mel * 200 / 3, 1000 * np.exp((mel - 15) * np.log(6.4) / 27))
