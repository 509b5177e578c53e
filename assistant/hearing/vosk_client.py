"""The assistant's side of the Vosk process: starts it, asks it, and outlives it."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

from assistant.errors import HearingError, ModelError
from assistant.hearing import vosk_process

COMMAND = (sys.executable, "-P", vosk_process.__file__)
PATIENCE_TO_LOAD = 120.0
"""Seconds. The small models load in one or two; a slow disk needs its time."""
_STOPPED = "Vosk stopped or hung; it is started again for the next words: say them once more."


class VoskStoppedError(HearingError):
    """The process is gone: it crashed, was killed, or gave no answer in time."""


class VoskClient:
    """One Vosk process. Raises ModelError where it can't load the model; after
    ``VoskStoppedError`` it is of no more use."""

    def __init__(self, model: Path, command: tuple[str, ...] = COMMAND) -> None:
        self._process = subprocess.Popen(  # noqa: S603 (our own module)
            [*command, str(model)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        advice = (
            "Delete that folder and fetch it again (benchcall models --get), or name another in "
            "BENCHCALL_MODEL."
        )
        try:
            loaded = self._answer(PATIENCE_TO_LOAD)
        except VoskStoppedError as error:
            raise ModelError(f"Vosk broke off on the model in {model}. {advice}") from error
        if "error" in loaded:
            self.close()
            raise ModelError(f"Vosk can't load the model in {model} ({loaded['error']}). {advice}")

    def missing(self, words: list[str]) -> frozenset[str]:
        """Those of the words that the model's vocabulary lacks."""
        return frozenset(self._ask({"find": words}, b"", PATIENCE_TO_LOAD)["missing"])

    def bind(self, phrases: list[str]) -> None:
        """The grammar, for all that follows; it must not be empty."""
        self._ask({"grammar": phrases}, b"", PATIENCE_TO_LOAD)

    def hear(self, sound: bytes, patience: float) -> dict[str, Any]:
        """What vosk_process says of 16-bit sound at 16 kHz; raises VoskStoppedError."""
        return self._ask({"bytes": len(sound)}, sound, patience)

    def so_far(self, sound: bytes, fresh: bool, patience: float) -> list[str]:
        """The words up to the end of this piece of an utterance, of which ``fresh`` is the first;
        raises VoskStoppedError."""
        request = {"bytes": len(sound), "fresh": fresh}
        return str(self._ask(request, sound, patience)["so far"]).split()

    def close(self) -> None:
        """May be called twice."""
        self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                try:
                    pipe.close()
                except OSError:  # bytes still in the buffer of a dead process
                    continue

    def _ask(self, request: dict[str, Any], sound: bytes, patience: float) -> dict[str, Any]:
        return self._answer(patience, json.dumps(request).encode() + b"\n" + sound)

    def _answer(self, patience: float, request: bytes = b"") -> dict[str, Any]:
        """The alarm covers the sending too: a process that hangs does not empty its pipe."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        alarm = threading.Timer(patience, self._process.kill)  # sending or reading then ends
        alarm.daemon = True
        alarm.start()
        try:
            self._process.stdin.write(request)
            self._process.stdin.flush()
            line = self._process.stdout.readline()
        except OSError:
            line = b""
        finally:
            alarm.cancel()
        if not line.endswith(b"\n"):
            self.close()
            raise VoskStoppedError(_STOPPED)
        found: dict[str, Any] = json.loads(line)
        return found
