"""Samples as recognisers take them, and the level below which there is nothing to hear."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE

SILENT_DBFS = -60.0
"""Speech into a headset lies 30 to 40 dB above this; a quiet room's hiss lies below."""
_WINDOW = RATE // 20


def pcm16(samples: NDArray[np.float32]) -> bytes:
    """float32 of full scale ±1, shape (n,), as little-endian 16-bit samples."""
    return (np.clip(samples, -1.0, 1.0) * 32767).astype("<i2").tobytes()


def loudest_dbfs(samples: NDArray[np.float32]) -> float:
    """The level (dB below full scale, RMS over 50 ms) of the loudest moment; −inf for silence."""
    if len(samples) == 0:
        return float("-inf")
    power = np.convolve(np.square(samples, dtype=np.float64), np.ones(_WINDOW) / _WINDOW)
    loudest = float(power.max())
    return 10.0 * float(np.log10(loudest)) if loudest > 0 else float("-inf")


def is_silent(samples: NDArray[np.float32]) -> bool:
    """Whether nothing in the samples is loud enough to be speech."""
    return loudest_dbfs(samples) < SILENT_DBFS
