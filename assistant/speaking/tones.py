"""Three tones that are told apart with the eyes closed, by rhythm and by direction.

accepted: one short pip.  asked: two long ones, rising, like the voice of a question.  out: three
short ones in haste, falling. Pitch alone would be lost on a noisy bench and on a technician with
ear defenders.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.speaking.reply import Tone

PIPS: dict[Tone, tuple[float, ...]] = {
    "accepted": (660.0,),
    "asked": (520.0, 780.0),
    "out": (780.0, 620.0, 440.0),
    "none": (),
}
"""Hz of each pip, in order."""
RHYTHM: dict[Tone, tuple[float, float]] = {
    "accepted": (0.09, 0.06),
    "asked": (0.2, 0.12),
    "out": (0.07, 0.05),
    "none": (0.0, 0.0),
}
"""Seconds of each pip, and of the quiet before it."""
_RAMP = 0.01
_LEVEL = 0.3


def tone(name: Tone, rate: int) -> NDArray[np.float32]:
    """Samples of shape (n,), full scale ±1; shape (0,) for "none". ``rate`` is in Hz."""
    length, pause = RHYTHM[name]
    gap = np.zeros(round(pause * rate), np.float32)
    parts: list[NDArray[np.float32]] = []
    for frequency in PIPS[name]:
        parts += [gap, _pip(frequency, length, rate)]
    return np.concatenate(parts) if parts else np.zeros(0, np.float32)


def _pip(frequency: float, seconds: float, rate: int) -> NDArray[np.float32]:
    time = np.arange(round(seconds * rate)) / rate
    ramp = np.clip(np.minimum(time, time[-1] - time) / _RAMP, 0, 1)  # no clicks at the ends
    wave: NDArray[np.float64] = _LEVEL * ramp * np.sin(2 * np.pi * frequency * time)
    return wave.astype(np.float32)
