"""Utterances cut from the shipped recordings by the times in their truth files."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import soundfile

from assistant.audio.utterance import RATE, Utterance
from assistant.shipped import shipped

MARGIN = 0.4  # s, kept before and after


def said(words: str) -> Utterance:
    """The first shipped utterance of these words."""
    return next(utterance for text, utterance in every() if text == words)


@cache
def _sound(path: Path) -> np.ndarray:
    sound, rate = soundfile.read(path, dtype="float32")
    assert rate == RATE
    return sound


def every() -> Iterator[tuple[str, Utterance]]:
    """Each quiet utterance of the shipped recordings with its words."""
    for truth in sorted(shipped("demo_audio").glob("*/truth.json")):
        for file in json.loads(truth.read_text("utf-8"))["files"]:
            if file["noise"]:
                continue
            path = truth.parent / file["file"]
            for part in file["utterances"]:
                yield part["words"], _cut(path, part["start"], part["end"])


def _cut(path: Path, start: float, end: float) -> Utterance:
    first = max(0, round((start - MARGIN) * RATE))
    samples = _sound(path)[first : round((end + MARGIN) * RATE)]
    return Utterance(
        samples, RATE, first / RATE, first / RATE + len(samples) / RATE, MARGIN, MARGIN, path.name
    )


def made(samples: np.ndarray) -> Utterance:
    """Samples that nobody said, as an utterance."""
    seconds = len(samples) / RATE
    return Utterance(samples.astype(np.float32), RATE, 0.0, seconds, 0.5, 0.5, "made")
