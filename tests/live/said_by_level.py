"""Speech that a test can make and ears that understand it: each level of sound stands for words."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Utterance
from assistant.audio.voice import CHUNK
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis

Samples = NDArray[np.float32]
_STEP = 0.01


class Language:
    """Words get a level of their own when they are first said."""

    def __init__(self) -> None:
        self._levels: dict[str, float] = {}

    def say(self, words: str, chunks: int = 12) -> Samples:
        """Sound of so many chunks, 32 ms each."""
        level = self._levels.setdefault(words, 0.1 + _STEP * len(self._levels))
        buzz = np.where(np.arange(chunks * CHUNK) % 2, level, -level)
        return buzz.astype(np.float32)

    def understood(self, samples: Samples) -> str:
        """The words of every stretch of sound, in order."""
        levels = np.round(np.abs(samples), 4)
        heard: list[str] = []
        last = 0.0
        for level in levels[np.flatnonzero(np.diff(levels, prepend=0.0))]:
            words = [w for w, mine in self._levels.items() if abs(mine - level) < _STEP / 4]
            if words and level != last:
                heard += words
            last = float(level)
        return " ".join(heard)


class LanguageEars:
    """Two ears that hear alike, and a third. ``woken`` tells which heard what; while ``gate`` is
    closed they take their time."""

    def __init__(self, language: Language) -> None:
        self._language = language
        self.woken: list[tuple[str, str]] = []
        self.gate = threading.Event()
        self.gate.set()

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        assert self.gate.wait(60)
        text = self._language.understood(utterance.samples)
        words = tuple(
            HeardWord(word, utterance.start + 0.1 * i, utterance.start + 0.1 * i + 0.1, 1.0)
            for i, word in enumerate(text.split())
        )
        for name in ("a", "b", "slow"):
            self.woken.append((name, text))
            hypotheses = (Hypothesis(words, 1.0),) if words else ()
            yield EarHearing(name, hypotheses, open_vocabulary=True)


def loud(chunk: Samples) -> float:
    """A detector that takes any loud chunk for a voice."""
    return float(np.max(np.abs(chunk)) > 0.05)


def quiet(seconds: float) -> Samples:
    """Silence of whole chunks."""
    return np.zeros(round(seconds * RATE / CHUNK) * CHUNK, np.float32)
