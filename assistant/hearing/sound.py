"""Samples as recognisers take them, and the level below which there is nothing to hear."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError

SILENT_DBFS = -60.0
"""Speech into a headset lies 30 to 40 dB above this; a quiet room's hiss lies below."""
_WINDOW = RATE // 20
_BELOW_LOUDEST = 25.0
"""dB. Speech falls about so far below its loudest vowel before it is taken for the room."""


def require_rate(utterance: Utterance, ear: str) -> None:
    """Raises HearingError for sound at another rate than all models here take."""
    if utterance.rate != RATE:
        raise HearingError(
            f"The ear {ear} takes sound at {RATE} Hz, got {utterance.rate} Hz: read the file "
            "through assistant.audio, which resamples."
        )


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


def loud_part(samples: NDArray[np.float32]) -> tuple[int, int]:
    """First sample and end of what lies within 25 dB of the loudest moment: the speech, roughly."""
    steps = [
        float(np.mean(np.square(samples[place : place + _WINDOW], dtype=np.float64)))
        for place in range(0, len(samples), _WINDOW)
    ]
    least = max(steps, default=0.0) / 10 ** (_BELOW_LOUDEST / 10)
    loud = [place for place, power in enumerate(steps) if power > 0 and power >= least]
    if not loud:
        return 0, len(samples)
    return loud[0] * _WINDOW, min(len(samples), (loud[-1] + 1) * _WINDOW)
