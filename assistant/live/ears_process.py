"""The ears in a process of their own, so that hearing never holds up the microphone.

pocketsphinx keeps the interpreter to itself for as long as it hears (0.4 s for three seconds of
speech): in one process with the microphone, sound would be lost meanwhile. A recogniser that
crashes takes only this process with it, and one that hangs is ended; the next utterance starts a
fresh one.
"""

from __future__ import annotations

import multiprocessing
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any, Self

from assistant.audio.utterance import Utterance
from assistant.errors import BenchcallError, ModelError
from assistant.hearing.heard import EarHearing

_GO_ON, _ENOUGH = "go on", "enough"
PATIENCE = 30.0
"""Seconds that one ear may take for one utterance; on a busy machine Whisper needs ten."""
GETTING_READY = 180.0
"""Seconds that reading the models may take."""


class EarsProcess:
    """As ``hearing.ears.Ears``, at the other end of a pipe. ``profile`` is an id or a file, and
    ``names`` are those of the ears, all that are here if none. The process starts at once, so that
    it makes its ears ready while this one still imports; ``ready`` waits until it can hear."""

    def __init__(self, profile: str, names: Sequence[str] = ()) -> None:
        self._given = (profile, tuple(names))
        self._told: dict[str, None] = {}
        self._pipe, self._process = _start(self._given)
        self._is_ready = False
        self.patience = PATIENCE
        self.models: dict[str, str] = {}
        self.description = ""
        self._trusted: Callable[[str, str], bool] = lambda _first, _second: False

    def ready(self) -> None:
        """Raises what ``load_profile`` or ``open_ears`` raised over there."""
        from assistant.hearing.verified import load_verified

        if self._is_ready:
            return
        answer = self._answer(GETTING_READY)
        if isinstance(answer, BenchcallError):
            raise answer
        if answer is None:
            raise ModelError(
                "The recognisers could not be started. Try: benchcall hear with a recording, "
                "which says why."
            )
        self.models, self.description, told = answer
        self._told |= dict.fromkeys(told)
        self._trusted = load_verified(self.models).is_verified
        self._is_ready = True

    def trusted(self, first: str, second: str) -> bool:
        """Whether these two have shown that they may accept."""
        return self._trusted(first, second)

    def told(self) -> tuple[str, ...]:
        """What the user must know of ears that are missing or failed; each thing is told once."""
        told, self._told = tuple(self._told), {}
        return told

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        """Each step wakes the next ear; nothing where the process has died over it or hangs,
        which is told."""
        self.ready()
        request: Utterance | str = utterance
        while True:
            answer = self._answer(self.patience, request)
            if answer is None:
                self._start_again()
                return
            hearing, told = answer
            self._told |= dict.fromkeys(told)
            if hearing is None:
                return
            request = _ENOUGH
            try:
                yield hearing
                request = _GO_ON
            finally:
                if request == _ENOUGH:
                    with suppress(OSError):  # dead: the next utterance will find it out
                        self._pipe.send(_ENOUGH)

    def close(self) -> None:
        self._pipe.close()  # the process ends when it has heard what it is hearing
        self._process.join(timeout=1.0)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _answer(self, patience: float, request: Utterance | str | None = None) -> Any:
        """What comes next through the pipe, after a request if there is one; None where the
        process has died. One that takes longer than ``patience`` seconds is killed: the sending
        too, since a process that hangs does not empty its pipe."""
        alarm = threading.Timer(patience, self._process.kill)
        alarm.start()
        try:
            if request is not None:
                self._pipe.send(request)
            return self._pipe.recv()
        except (EOFError, OSError):
            return None
        finally:
            alarm.cancel()

    def _start_again(self) -> None:
        self.close()
        self._pipe, self._process = _start(self._given)
        self._is_ready = False
        self._told["The recognisers stopped and were started again. Say the last thing again."] = (
            None
        )


def _start(
    given: tuple[str, tuple[str, ...]],
) -> tuple[Connection, multiprocessing.process.BaseProcess]:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_hear, args=(theirs, *given), daemon=True)
    process.start()
    theirs.close()
    return ours, process


def _hear(pipe: Connection, profile: str, names: tuple[str, ...]) -> None:
    """What the other process does until the pipe is closed."""
    from assistant.hearing.ears import ALWAYS, open_ears
    from assistant.profile import load_profile, load_spoken

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the user stops the session, not the ears
    try:
        ears = open_ears(load_profile(profile), load_spoken(), names, at_once=ALWAYS)
    except BenchcallError as error:
        pipe.send(error)
        return
    try:
        pipe.send((ears.models, ears.description, ears.told()))
        ears.make_ready()  # while the technician draws breath
        while True:
            utterance = pipe.recv()
            for hearing in ears.listen(utterance):
                pipe.send((hearing, ears.told()))
                if pipe.recv() == _ENOUGH:
                    break
            else:
                pipe.send((None, ears.told()))
    except (EOFError, OSError):
        return
    finally:
        ears.close()
