"""Writes sound as a 16-bit mono WAV file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.errors import AudioError


def write_wav(path: str | Path, samples: NDArray[np.float32], rate: int = RATE) -> None:
    """Write mono float ``samples`` of shape (n,), full scale ±1; what is beyond is clipped."""
    import soundfile

    if samples.ndim != 1:
        raise ValueError(f"samples must have shape (n,), not {samples.shape}")
    path = Path(path)
    try:
        soundfile.write(path, np.clip(samples, -1, 1), rate, subtype="PCM_16", format="WAV")
    except (OSError, soundfile.SoundFileError) as error:
        raise AudioError(
            f"{path} can't be written. Check that the folder is there, may be written to, "
            "and has room."
        ) from error
