"""What audio/ gives on: one stretch of speech with the quiet around it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Hz. Every utterance has this rate: files and microphones are resampled on the way in."""


@dataclass(frozen=True, slots=True, eq=False)
class Utterance:
    """One stretch of speech.

    ``samples`` is mono float32 of shape (n,), full scale ±1, with a margin of quiet kept at both
    ends. Times are seconds from the beginning of the source. ``quiet_before`` and ``quiet_after``
    are the seconds without voice that precede the first and follow the last voiced moment; a
    small ``quiet_before`` means the beginning may be cut off, unless words begin well within the
    samples and these are ``unbroken``: no sound is missing in them, nor just before them.
    ``calm``: all around the speech is at least 30 dB below it.
    """

    samples: NDArray[np.float32]
    rate: int
    start: float
    end: float
    quiet_before: float
    quiet_after: float
    source: str
    unbroken: bool = True
    calm: bool = False
