"""Endpointing: a stream of sound becomes utterances, each with the quiet around it measured."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.audio.edges import edges
from assistant.audio.levels import STEP_SECONDS, levels
from assistant.audio.utterance import RATE, Utterance
from assistant.audio.voice import CHUNK, VOICE_GOES_ON, VOICE_STARTS, VoiceActivity

END_QUIET = 0.7
"""Seconds without voice that end an utterance."""
LONGEST = 20.0
"""Seconds. A longer utterance is split at its quietest point; a quiet of zero marks the cut."""
MARGIN = 0.5
"""Seconds of sound kept after the speech, where there are as many."""
LOOK_BACK = 1.2
"""Seconds kept before it, unless they are silent. Amid a drill at 5 dB the voice of
a "minus" was overheard, half a second before the number: an ear that is given the sound still
hears it. Before a bare number a second of digital silence makes the ears less sure of it (a
recorded "seven": 14 nats after 0.6 s, 2.3 after 1.0), so of silence they get a margin only."""
QUIET_NEEDED = 0.15
"""Seconds of quiet before the first word below which its beginning may be cut off.

Measured on two spoken values that hold "minus", cut off at every 50 ms, in five synthetic voices
(two in noise): a cut that lost a beginning showed less quiet than this in 313 of 317 trials in a
quiet room and in 126 of 128 at 15 dB. The others fell into a hesitation, where no measure of quiet
can tell: whoever cuts a recording there is not caught. A lead of 0.2 s always passed: 10 of 10 of
room noise and of digital silence, 4 of 4 of white noise at 15 dB.
"""
FEWEST_VOICED = 3
"""Voiced chunks (96 ms); fewer are a click."""
MEMORY = 3.0
"""Seconds of sound remembered while nobody speaks."""
BACKGROUND_SECONDS = 10.0
BACKGROUND_PERCENTILE = 10
"""The background is the level that a tenth of the last ten seconds stayed below."""
_CHUNK_SECONDS = CHUNK / RATE

Detector = Callable[[NDArray[np.float32]], float]


def utterances(
    blocks: Iterable[NDArray[np.float32]],
    source: str,
    *,
    end_quiet: float = END_QUIET,
    longest: float = LONGEST,
    detector: Detector | None = None,
) -> Iterator[Utterance]:
    """Yield each stretch of speech in ``blocks`` (16 kHz mono float32) as soon as it has ended.

    ``start`` and ``end`` of an Utterance are those of its samples, and no sample is in two.
    ``quiet_before`` reaches back to the last sound, the utterance before, or three seconds.
    Sound without speech gives nothing.
    """
    endpointer = Endpointer(source, end_quiet, longest, detector or VoiceActivity())
    for chunk in _chunks(blocks):
        if (found := endpointer.take(chunk)) is not None:
            yield found
    if (found := endpointer.finish()) is not None:
        yield found


def _chunks(blocks: Iterable[NDArray[np.float32]]) -> Iterator[NDArray[np.float32]]:
    """Chunks of 512 samples; the last one may be shorter."""
    rest = np.empty(0, np.float32)
    for block in blocks:
        rest = np.concatenate((rest, block))
        whole = len(rest) // CHUNK * CHUNK
        yield from rest[:whole].reshape(-1, CHUNK)
        rest = rest[whole:]
    if len(rest):
        yield rest


class Endpointer:
    """Holds the sound since the last utterance and gives the next one when it has ended."""

    def __init__(self, source: str, end_quiet: float, longest: float, detector: Detector) -> None:
        self._source = source
        self._end_quiet = end_quiet
        self._longest = longest
        self._detect = detector
        self._held: list[NDArray[np.float32]] = []
        self._voice: list[float] = []
        self._position = 0  # of the first held sample, in the source
        self._taken = 0  # samples of the source up to here are in an utterance already
        self._voiced: tuple[int, int] | None = None  # first and last voiced chunk held
        self._after_cut = False
        self._gap = False  # sound is missing since the voice that is held began
        self._levels: deque[float] = deque(maxlen=round(BACKGROUND_SECONDS / STEP_SECONDS))

    def take(self, chunk: NDArray[np.float32]) -> Utterance | None:
        """Take the next chunk; give the utterance that has ended with it."""
        padded = chunk if len(chunk) == CHUNK else np.pad(chunk, (0, CHUNK - len(chunk)))
        self._held.append(chunk)
        self._voice.append(self._detect(padded))
        self._levels.extend(levels(chunk).tolist())
        index = len(self._held) - 1
        if self._voiced is None:
            if self._voice[-1] >= VOICE_STARTS:
                self._voiced = index, index
            elif index * _CHUNK_SECONDS > MEMORY:
                self._drop(1)
            return None
        if self._voice[-1] >= VOICE_GOES_ON:
            self._voiced = self._voiced[0], index
        if (index - self._voiced[1]) * _CHUNK_SECONDS >= self._end_quiet:
            return self._give(len(self._held))
        if (index - self._voiced[0]) * _CHUNK_SECONDS >= self._longest:
            return self._split()
        return None

    def finish(self) -> Utterance | None:
        """The source is at its end: give the utterance still open."""
        return None if self._voiced is None else self._give(len(self._held))

    @property
    def quiet(self) -> float | None:
        """Seconds without voice at the end of the utterance that is open; None while none is."""
        if self._voiced is None:
            return None
        return (len(self._held) - 1 - self._voiced[1]) * _CHUNK_SECONDS

    @property
    def voiced_until(self) -> float | None:
        """Seconds from the beginning of the source to the end of the last voiced chunk of the
        utterance that is open; None while none is."""
        if self._voiced is None:
            return None
        return self._position / RATE + (self._voiced[1] + 1) * _CHUNK_SECONDS

    def early(self) -> Utterance | None:
        """The open utterance as it would be if it ended here; nothing is forgotten. None while
        none is open, and for a click."""
        return None if self._voiced is None else self._utterance(len(self._held), cut=False)

    def end_as(self, early: Utterance) -> None:
        """The utterance that ``early`` gave has ended: what came after it is quiet."""
        assert self._voiced is not None
        last, self._voiced, self._after_cut, self._gap = self._voiced[1], None, False, False
        self._taken = round(early.end * RATE)
        self._drop(last + 1)

    def skip(self, samples: int) -> None:
        """So many samples were not listened to: whatever was open is let go, and the quiet before
        the next utterance counts from here."""
        self._drop(len(self._held))
        self._position += samples
        self._taken = self._position
        self._voiced, self._after_cut, self._gap = None, False, False

    def lost_sound(self) -> None:
        """Sound is missing before the next chunk. The utterance that is open, or begins now, may
        lack a word, perhaps a "minus": it is given without any quiet before it."""
        if self._voiced is None:
            self.skip(0)
        else:
            self._gap = True

    def _give(self, until: int, cut: bool = False) -> Utterance | None:
        """Make an utterance of the held chunks before ``until`` and forget what it took."""
        assert self._voiced is not None
        utterance = self._utterance(until, cut)
        last = min(self._voiced[1], until - 1)
        self._voiced, self._after_cut, self._gap = None, cut, self._gap and cut
        if utterance is not None:
            self._taken = round(utterance.end * RATE)
            self._drop(until if cut else last + 1)
        return utterance

    def _utterance(self, until: int, cut: bool) -> Utterance | None:
        """The held chunks before ``until`` as an utterance; None for a click."""
        assert self._voiced is not None
        (first, last), after_cut = self._voiced, self._after_cut
        last = min(last, until - 1)
        voice = np.array(self._voice[:until], np.float32)
        if not (cut or after_cut) and np.sum(voice[first:] >= VOICE_GOES_ON) < FEWEST_VOICED:
            return None
        samples = np.concatenate(self._held[:until])
        found = edges(samples, voice, (first, last), self._background())
        silent = found.silence_before >= min(LOOK_BACK, found.first)
        before = MARGIN if silent else LOOK_BACK
        begin = max(self._taken - self._position, round((found.first - before) * RATE), 0)
        end = len(samples) if cut else min(len(samples), round((found.last + MARGIN) * RATE))
        return Utterance(
            samples=samples[begin:end],
            rate=RATE,
            start=(self._position + begin) / RATE,
            end=(self._position + end) / RATE,
            quiet_before=0.0 if after_cut or self._gap else round(found.quiet_before, 3),
            quiet_after=0.0 if cut else round(found.quiet_after, 3),
            source=self._source,
            unbroken=not (after_cut or self._gap),
            calm=found.calm,
        )

    def _split(self) -> Utterance | None:
        """Cut an endless utterance at the quietest point of its second half."""
        half = len(self._held) // 2
        loudness = [float(np.max(levels(chunk), initial=-np.inf)) for chunk in self._held[half:]]
        smooth = np.convolve(loudness, np.ones(3) / 3, mode="valid")
        until = half + int(np.argmin(smooth)) + 2
        rest_voiced = [
            index - until
            for index in range(until, len(self._held))
            if self._voice[index] >= VOICE_GOES_ON
        ]
        utterance = self._give(until, cut=True)
        self._voiced = (rest_voiced[0], rest_voiced[-1]) if rest_voiced else None
        self._after_cut = self._voiced is not None
        return utterance

    def _drop(self, count: int) -> None:
        self._position += sum(len(chunk) for chunk in self._held[:count])
        del self._held[:count], self._voice[:count]

    def _background(self) -> float:
        return float(np.percentile(self._levels, BACKGROUND_PERCENTILE))
