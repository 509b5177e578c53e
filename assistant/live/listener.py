"""From blocks of sound to utterances that are heard already: endpointing with the ears ahead.

How long the quiet must last depends on what was understood: a complete value that leaves no doubt
ends after a short quiet, a number that could go on ("fourteen") after a longer one.
"""

from __future__ import annotations

from collections import deque

from assistant.audio.microphone import Block
from assistant.audio.segments import END_QUIET, LONGEST, Detector, Endpointer
from assistant.audio.utterance import Utterance
from assistant.audio.voice import VoiceActivity
from assistant.live.ahead import Ahead
from assistant.session import Assistant
from assistant.turn import Attended

EARLY_QUIET = 0.25
"""Seconds of quiet after which the ears begin."""
SHORT_QUIET = 0.45
"""Seconds of quiet that end what was completely understood, and that wake the slow ears."""


class Listener:
    """Give it every block by ``take`` or ``skip``, then ask for a ``result`` and take that down
    before the next block: what is heard next depends on it."""

    def __init__(
        self, assistant: Assistant, source: str = "microphone", detector: Detector | None = None
    ) -> None:
        self._assistant = assistant
        self._endpointer = Endpointer(source, END_QUIET, LONGEST, detector or VoiceActivity())
        self._waiting: deque[Utterance] = deque()
        self._ended: Ahead | None = None
        self._ahead: Ahead | None = None
        self._voiced_until: float | None = None
        self._abandoned: Ahead | None = None

    @property
    def voice_open(self) -> bool:
        """Whether somebody speaks, or has just paused."""
        return self._endpointer.quiet is not None

    @property
    def busy(self) -> bool:
        """Whether something has ended and its result is still to come."""
        return self._ended is not None or bool(self._waiting)

    def take(self, block: Block) -> None:
        if block.after_gap:
            self._endpointer.lost_sound()
        ended = self._endpointer.take(block.samples)
        if ended is not None:
            self._end(ended)
        elif not self.busy:
            self._hear_ahead()

    def skip(self, samples: int) -> None:
        """So many samples are not listened to; whatever was open is let go."""
        self._let_go()
        self._endpointer.skip(samples)

    def finish(self) -> None:
        """What is open ends here."""
        ended = self._endpointer.finish()
        if ended is not None:
            self._end(ended)

    def result(self, wait: bool = False) -> Attended | None:
        """What has ended and is heard, in the order spoken; None while there is nothing. Raises
        what hearing raised."""
        if self._ended is None and self._waiting:
            self._ended = self._begin(self._waiting.popleft())
            self._ended.surely()
        if self._ended is None or not (wait or self._ended.done):
            return None
        ended, self._ended = self._ended, None
        return ended.attended

    def close(self) -> None:
        """Drops what is not heard yet; returns when no ear is busy any more."""
        self._let_go()
        self._waiting.clear()
        for ahead in (self._abandoned, self._ended):
            if ahead is not None:
                ahead.abandon()
                ahead.wait()

    def _hear_ahead(self) -> None:
        quiet, until = self._endpointer.quiet, self._endpointer.voiced_until
        if until != self._voiced_until:
            self._let_go()
        if quiet is None:
            return
        if self._ahead is None and quiet >= EARLY_QUIET:
            early = self._endpointer.early()
            if early is not None:
                self._ahead, self._voiced_until = self._begin(early), until
        if self._ahead is not None and quiet >= SHORT_QUIET:
            self._ahead.surely()
            if self._ahead.done and not self._ahead.attended.may_go_on:
                self._endpointer.end_as(self._ahead.utterance)
                self._ended, self._ahead = self._ahead, None

    def _end(self, utterance: Utterance) -> None:
        """An utterance has ended by the endpointer's own rule. What was heard ahead of it holds:
        there was only quiet since."""
        if self._ahead is None:
            self._waiting.append(utterance)
        else:
            self._ended, self._ahead = self._ahead, None
            self._ended.surely()

    def _begin(self, utterance: Utterance) -> Ahead:
        after, self._abandoned = self._abandoned, None
        return Ahead(self._assistant, utterance, after)

    def _let_go(self) -> None:
        if self._ahead is not None:
            self._ahead.abandon()
            self._abandoned, self._ahead = self._ahead, None
