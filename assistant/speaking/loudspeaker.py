"""Replies as sound: to the loudspeaker where there is one, or into one WAV file."""

from __future__ import annotations

import threading
import wave
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import ModuleType

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SpeechError
from assistant.speaking.reply import Reply
from assistant.speaking.tones import tone
from assistant.speaking.voice import Voice

_PAUSE = 0.35
"""Seconds of quiet between two replies in a file."""
_PIECE = 0.04
"""Seconds played at once: so quickly does it fall silent when it is cut short."""
_LATENCY = 0.05
"""Seconds that lie ready in the device; less would stutter on a busy machine."""


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
    last reply was heard. ``speaking`` is true from ``start`` until the last sound has left the
    device, for a microphone that must be deaf meanwhile; ``stop`` cuts it short, from any thread.
    ``device`` is a number or part of a name, None for the system's own choice.
    """

    def __init__(self, voice: Voice, device: int | str | None = None) -> None:
        self._voice = voice
        self._device = device
        self._speaking = threading.Event()
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self.silent = ""
        self._library = self._find()

    @property
    def speaking(self) -> bool:
        return self._speaking.is_set()

    def say(self, reply: Reply) -> None:
        """Returns when it is said."""
        self.start([reply])
        self.wait()

    def start(self, replies: Sequence[Reply]) -> None:
        """Says them one after the other and returns at once; waits for what is being said."""
        self.wait()
        aloud = [reply for reply in replies if reply.spoken]
        if self._library is None or not aloud:
            return
        self._stop.clear()
        self._speaking.set()
        self._thread = threading.Thread(target=self._run, args=(aloud, self._library), daemon=True)
        self._thread.start()

    def wait(self) -> None:
        """Returns when nothing is being said."""
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def stop(self) -> None:
        self._stop.set()

    def look_again(self) -> None:
        """A device may have come since."""
        self._library = self._find()

    def _run(self, replies: Sequence[Reply], library: ModuleType) -> None:
        try:
            for reply in replies:
                if not self._stop.is_set():
                    samples, rate = sound(reply, self._voice)
                    self._play(samples, rate, library)
            self.silent = ""
        except SpeechError as error:
            self.silent = str(error)
        except Exception as error:  # sounddevice.PortAudioError: its base is Exception itself
            self.silent = f"The loudspeaker failed ({error}). Check its plug."
        finally:
            self._speaking.clear()

    def _play(self, samples: NDArray[np.float32], rate: int, library: ModuleType) -> None:
        with library.OutputStream(
            samplerate=rate, channels=1, dtype="float32", device=self._device, latency=_LATENCY
        ) as stream:
            size = round(_PIECE * rate)
            for first in range(0, len(samples), size):
                if self._stop.is_set():
                    stream.abort()
                    return
                stream.write(samples[first : first + size, None])

    def _find(self) -> ModuleType | None:
        """The sounddevice module where it can play; ``silent`` says why it can't."""
        try:
            import sounddevice

            sounddevice.query_devices(self._device, kind="output")
        except OSError:
            self.silent = "PortAudio is missing (on Debian: apt install libportaudio2)."
        except ValueError:
            self.silent = f"There is no loudspeaker {self._device or ''}".rstrip() + "."
        except Exception as error:
            self.silent = f"No loudspeaker can be opened: {error}"
        else:
            self.silent = ""
            return sounddevice  # type: ignore[no-any-return, unused-ignore]
        return None
