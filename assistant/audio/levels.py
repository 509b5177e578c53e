"""How loud a stretch of sound is, in 10 ms steps: the measure behind "quiet" in endpointing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE

STEP = RATE // 100
"""Samples in one level: 10 ms."""
STEP_SECONDS = STEP / RATE
SILENCE_DB = -90.0
"""Digital silence and anything below it, dBFS: a 16-bit file can't hold less."""
_PRE_EMPHASIS = 0.97
"""First-order pre-emphasis, the usual value in speech work: hum weighs less, "s" weighs more."""


def levels(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """RMS level in dBFS of each whole 10 ms of ``samples`` (16 kHz mono), pre-emphasised."""
    count = len(samples) // STEP
    if count == 0:
        return np.empty(0, np.float32)
    whole = samples[: count * STEP].astype(np.float32, copy=True)
    whole[1:] -= _PRE_EMPHASIS * samples[: count * STEP - 1]
    whole[0] *= 1 - _PRE_EMPHASIS
    power = np.mean(np.square(whole.reshape(count, STEP)), axis=1)
    floor = 10 ** (SILENCE_DB / 10)
    return np.asarray(10 * np.log10(np.maximum(power, floor)), np.float32)
