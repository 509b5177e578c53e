"""Where the speech in a stretch of sound really begins and ends, and how quiet it was around it.

The voice detector alone is late on soft consonants; the level alone can't tell a voice from a
machine. Together they answer the question that safety hangs on: may the first word, perhaps a
"minus", be cut off?
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.audio.levels import STEP_SECONDS, levels
from assistant.audio.utterance import RATE
from assistant.audio.voice import CHUNK, VOICE_GOES_ON

ABOVE_BACKGROUND_DB = 8.0
BELOW_SPEECH_DB = 42.0
"""Sound is quiet less than 8 dB above the background, or more than 42 dB below the speech."""
SPEECH_SOUNDS_DB = 3.0
"""The loud parts of the speech always count as sound, however loud the background seems."""
PAUSE = 0.25
"""Seconds. Sound nearer than this to the voice belongs to it: a soft first word, a last "s"."""
SHORTEST_SOUND = 0.03
"""Seconds. Shorter bursts outside the voice are clicks."""
SURELY_SILENT = 1.0
"""Seconds without a trace of a voice that count as quiet even amid loud machines."""
CALM_DB = 30.0
"""Nothing around the speech comes within so many dB of it: a quiet room."""
AROUND = 1.2
"""Seconds before the speech that must be calm, or as many as there are."""
NO_TRACE = 0.1
"""Probability of a voice below which there is no trace of one."""


@dataclass(frozen=True, slots=True)
class Edges:
    """Seconds from the first sample: the speech's bounds; the quiet before and after it; and the
    silence before it, in which everything is more than BELOW_SPEECH_DB below the speech; and
    whether all around it is calm."""

    first: float
    last: float
    quiet_before: float
    quiet_after: float
    silence_before: float
    calm: bool


def edges(
    samples: NDArray[np.float32],
    voice: NDArray[np.float32],
    voiced: tuple[int, int],
    background_db: float,
) -> Edges:
    """Find the edges of the speech whose first and last voiced chunks are ``voiced``.

    ``samples`` is 16 kHz mono, ``voice`` the probability of each of its chunks, and
    ``background_db`` the level of the sound between words.
    """
    level = levels(samples)
    spoken = slice(_steps(voiced[0]), max(_steps(voiced[1] + 1), _steps(voiced[0]) + 1))
    speech_db = float(np.percentile(level[spoken], 95))
    threshold = max(background_db + ABOVE_BACKGROUND_DB, speech_db - BELOW_SPEECH_DB)
    threshold = min(threshold, speech_db - SPEECH_SOUNDS_DB)
    sounding = _without_clicks(level > threshold)
    spoken = _narrowed(sounding, spoken)
    for chunk in np.flatnonzero(voice >= VOICE_GOES_ON):
        if not voiced[0] <= chunk <= voiced[1]:
            sounding[_steps(int(chunk)) : _steps(int(chunk) + 1)] = True

    first, quiet_before = _walk(sounding[: spoken.start][::-1])
    last, quiet_after = _walk(sounding[spoken.stop :])
    trace = voice >= NO_TRACE
    begin, end = spoken.start - first, spoken.stop + last
    around = level[max(0, begin - round(AROUND / STEP_SECONDS)) : begin], level[end:]
    calm = begin > 0 and not any((part > speech_db - CALM_DB).any() for part in around)
    _, silence = _walk((level[:begin] > speech_db - BELOW_SPEECH_DB)[::-1])
    return Edges(
        first=begin * STEP_SECONDS,
        last=end * STEP_SECONDS,
        quiet_before=max(quiet_before, _surely_silent(trace[: voiced[0]][::-1])),
        quiet_after=max(quiet_after, _surely_silent(trace[voiced[1] + 1 :])),
        silence_before=silence,
        calm=calm,
    )


def _steps(chunk: int) -> int:
    return round(chunk * CHUNK / RATE / STEP_SECONDS)


def _narrowed(sounding: NDArray[np.bool_], spoken: slice) -> slice:
    """``spoken`` without the quiet steps in its first and last chunk: a chunk is 32 ms coarse."""
    reach = _steps(1)
    head = np.flatnonzero(sounding[spoken.start : spoken.start + reach])
    tail = np.flatnonzero(sounding[max(spoken.stop - reach, spoken.start) : spoken.stop][::-1])
    start = spoken.start + (int(head[0]) if len(head) else 0)
    return slice(start, max(start + 1, spoken.stop - (int(tail[0]) if len(tail) else 0)))


def _without_clicks(sounding: NDArray[np.bool_]) -> NDArray[np.bool_]:
    change = np.flatnonzero(np.diff(np.concatenate(([False], sounding, [False])).astype(np.int8)))
    kept = np.zeros_like(sounding)
    for begin, end in change.reshape(-1, 2):
        # A sound that meets the end of the stretch may go on beyond it: never a mere click.
        if (end - begin) * STEP_SECONDS >= SHORTEST_SOUND or begin == 0 or end == len(sounding):
            kept[begin:end] = True
    return kept


def _walk(outward: NDArray[np.bool_]) -> tuple[int, float]:
    """From the voice outward: steps that still belong to it, then seconds of quiet."""
    edge = 0
    for index in np.flatnonzero(outward):
        if (index - edge) * STEP_SECONDS >= PAUSE:
            return edge, float((index - edge) * STEP_SECONDS)
        edge = int(index) + 1
    return edge, float((len(outward) - edge) * STEP_SECONDS)


def _surely_silent(outward: NDArray[np.bool_]) -> float:
    traces = np.flatnonzero(outward)
    seconds = float((traces[0] if len(traces) else len(outward)) * CHUNK / RATE)
    return seconds if seconds >= SURELY_SILENT else 0.0
