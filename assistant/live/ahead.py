"""Hearing ahead: the ears begin while it is still awaited whether the speech has ended.

After a short quiet the utterance is heard as if it had ended. Most often it has, and the answer is
there when the wait is over; where the speech goes on, what was heard is thrown away.
"""

from __future__ import annotations

import threading

from assistant.audio.utterance import Utterance
from assistant.session import Assistant
from assistant.turn import Attended

CHEAP_EARS = 2
"""So many ears hear ahead at once; the next, slow one only when the quiet has lasted."""


class Ahead:
    """One utterance being attended to on a thread of its own, ``after`` an abandoned one.

    ``surely`` says that it seems to have ended, ``abandon`` that it went on; ``done`` tells
    whether ``attended`` can be had without waiting.
    """

    def __init__(
        self, assistant: Assistant, utterance: Utterance, after: Ahead | None = None
    ) -> None:
        self.utterance = utterance
        self._assistant = assistant
        self._after = after
        self._decided = threading.Event()
        self._wanted = True
        self._attended: Attended | None = None
        self._error: BaseException | None = None
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    @property
    def done(self) -> bool:
        return not self._thread.is_alive()

    def surely(self) -> None:
        self._decided.set()

    def abandon(self) -> None:
        self._wanted = False
        self._decided.set()

    def wait(self) -> None:
        """Returns when no ear is busy with it any more."""
        self._thread.join()

    @property
    def attended(self) -> Attended:
        """Waits for it. Raises what attending raised."""
        self.wait()
        if self._error is not None:
            raise self._error
        assert self._attended is not None
        return self._attended

    def _run(self) -> None:
        if self._after is not None:
            self._after.wait()
            self._after = None
        if not self._wanted:
            return
        try:
            self._attended = self._assistant.attend(self.utterance, self._go_on)
        except BaseException as error:  # given on to the thread that asks for the result
            self._error = error

    def _go_on(self, ears: int) -> bool:
        if ears >= CHEAP_EARS:
            self._decided.wait()
        return self._wanted
