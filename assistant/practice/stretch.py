"""Stretches of a recording cut out, so that what was missed can be heard again."""

from __future__ import annotations

from pathlib import Path

from assistant.audio.recording import read
from assistant.audio.utterance import RATE
from assistant.audio.write import write_wav
from assistant.practice.marks import Sound

MARGIN = 0.3
"""Seconds before and after what is cut out."""


def cut(sound: Sound, path: Path) -> Path:
    """The stretch of a recording as a WAV file of its own."""
    samples = read(sound.path)
    first, last = max(0.0, sound.start - MARGIN), sound.end + MARGIN
    path.parent.mkdir(parents=True, exist_ok=True)
    write_wav(path, samples[round(first * RATE) : round(last * RATE)])
    return path
