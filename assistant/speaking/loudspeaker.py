"""Replies as sound: to the loudspeaker where there is one, or into one WAV file."""

from __future__ import annotations

import contextlib
import threading
import wave
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SpeechError
from assistant.speaking.reply import Reply
from assistant.speaking.tones import tone
from assistant.speaking.voice import Voice

_PAUSE = 0.35
"""Seconds of quiet between two replies in a file."""


def sound(reply: Reply, voice: Voice) -> tuple[NDArray[np.float32], int]:
    """The words and then the tone, as mono float32 of shape (n,) and the rate in Hz.

    Raises SpeechError where the voice fails.
    """
    samples, rate = voice.say(reply.spoken)
    return np.concatenate([samples, tone(reply.tone, rate)]), rate


def to_wav(replies: Iterable[Reply], path: Path, voice: Voice) -> None:
    """Writes what a session said as one 16-bit mono WAV, replies that only show left out.

    Nothing is written when nothing was said. Raises SpeechError where the voice fails.
    """
    parts: list[NDArray[np.float32]] = []
    rate = 0
    for reply in replies:
        if not reply.spoken:
            continue
        samples, rate = sound(reply, voice)
        parts += [samples, np.zeros(round(_PAUSE * rate), np.float32)]
    if not parts:
        return
    pcm = (np.clip(np.concatenate(parts), -1, 1) * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(pcm.tobytes())


class Loudspeaker:
    """Plays replies. Without a sound device, without its library, or when the voice fails, it is
    silent and the job goes on: everything said is shown too. ``silent`` says why, "" when the
    last reply was heard. ``speaking`` is true while it plays, for a microphone that must be deaf
    meanwhile; ``stop`` cuts it short, from any thread."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice
        self._speaking = threading.Event()
        self._device, self.silent = _device()

    @property
    def speaking(self) -> bool:
        return self._speaking.is_set()

    def say(self, reply: Reply) -> None:
        """Returns when it is said."""
        if self._device is None or not reply.spoken:
            return
        try:
            samples, rate = sound(reply, self._voice)
        except SpeechError as error:
            self.silent = str(error)
            return
        self.silent = ""
        with self._deaf():
            self._device.play(samples, rate, blocking=True)

    def stop(self) -> None:
        if self._device is not None:
            self._device.stop()

    @contextlib.contextmanager
    def _deaf(self) -> Iterator[None]:
        self._speaking.set()
        try:
            yield
        finally:
            self._speaking.clear()


def _device() -> tuple[Any, str]:
    """The sounddevice module where it can play, else None with the reason."""
    try:
        import sounddevice

        sounddevice.query_devices(kind="output")
    except OSError:
        return None, "PortAudio is missing (on Debian: apt install libportaudio2)."
    except ValueError:  # sounddevice.PortAudioError is no subclass of a common base
        return None, "There is no loudspeaker."
    except Exception as error:
        return None, f"No loudspeaker can be opened: {error}"
    return sounddevice, ""
