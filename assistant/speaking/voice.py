"""Voices behind one protocol: words in, samples out.

eSpeak NG comes inside a wheel, is the same everywhere and is the voice whose round trip through
the recognisers is measured (tests/speaking/test_round_trip.py), so it is the default. The
platform's own voice (platform_voice.py) is taken on request.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from importlib.util import find_spec
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SpeechError
from assistant.speaking import espeak_process
from assistant.speaking.espeak_process import HEADER

VOICE = "en-us+f5"
"""The variant of those tried that pocketsphinx hears best; no one has judged it by ear yet."""
WORDS_PER_MINUTE = 160
WORD_GAP = 0
"""Units of 10 ms between words."""
COMMAND = (sys.executable, "-P", espeak_process.__file__)
"""By path: it needs nothing of this package, and works from any folder."""


class Voice(Protocol):
    """``say`` gives mono float32 samples of shape (n,), full scale ±1, and their rate in Hz; it
    raises SpeechError where nothing can be said. ``close`` may be called twice."""

    def say(self, text: str) -> tuple[NDArray[np.float32], int]: ...

    def close(self) -> None: ...


class EspeakVoice:
    """eSpeak NG in a process of its own, started when first needed.

    A crash, or no answer within ``patience`` seconds, raises SpeechError; the next call starts a
    fresh process.
    """

    def __init__(
        self,
        voice: str = VOICE,
        words_per_minute: int = WORDS_PER_MINUTE,
        word_gap: int = WORD_GAP,
        patience: float = 10.0,
        command: tuple[str, ...] = COMMAND,
    ) -> None:
        self._manner = {
            "voice": voice,
            "words_per_minute": words_per_minute,
            "word_gap": word_gap,
        }
        self._patience = patience
        self._command = command
        self._process: subprocess.Popen[bytes] | None = None

    def say(self, text: str) -> tuple[NDArray[np.float32], int]:
        process = self._running()
        hung = threading.Event()

        def give_up() -> None:
            hung.set()
            process.kill()  # the read below then ends

        alarm = threading.Timer(self._patience, give_up)
        alarm.start()
        try:
            rate, pcm = _ask(process, {"text": text, **self._manner})
        except (OSError, EOFError) as error:
            self.close()
            if find_spec("espeakng_loader") is None:
                raise SpeechError(
                    "There is no voice here, so all is shown and nothing said. To get it: pip "
                    "install espeakng-loader"
                ) from error
            how = "did not answer" if hung.is_set() else "stopped"
            raise SpeechError(
                f"The voice {how}; the words are on the screen, and the next ones are tried afresh."
            ) from error
        finally:
            alarm.cancel()
        if not pcm and text.strip():
            name = self._manner["voice"]
            raise SpeechError(f"The voice {name!r} can't say this; choose another ({VOICE!r}).")
        return np.frombuffer(pcm, "<i2").astype(np.float32) / np.float32(32768), rate

    def close(self) -> None:
        if self._process is None:
            return
        process, self._process = self._process, None
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                try:
                    pipe.close()
                except OSError:  # words still in the buffer of a dead process
                    continue

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self.close()
            self._process = subprocess.Popen(  # noqa: S603 (our own module)
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )
        return self._process


def open_voice(platform: bool = False) -> Voice:
    """eSpeak NG, or with ``platform`` the voice of macOS or Windows.

    Raises SpeechError where the platform has none that is known here.
    """
    if platform:
        from assistant.speaking.platform_voice import platform_voice

        return platform_voice()
    return EspeakVoice()


def _ask(process: subprocess.Popen[bytes], request: dict[str, object]) -> tuple[int, bytes]:
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(json.dumps(request).encode() + b"\n")
    process.stdin.flush()
    header = process.stdout.read(HEADER.size)
    if len(header) < HEADER.size:
        raise EOFError
    rate, length = HEADER.unpack(header)
    pcm = process.stdout.read(length)
    if len(pcm) < length:
        raise EOFError
    return rate, pcm
