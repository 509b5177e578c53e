"""The microphone: blocks of sound as they are spoken, for as long as they are asked for."""

from __future__ import annotations

import queue
from collections.abc import Iterator
from types import ModuleType
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.errors import AudioError

BLOCK = RATE // 20
"""Samples in a block: 50 ms, a small part of the time that a read-back may take to begin."""
_SILENT_FOR = 5.0
"""Seconds without a block after which the microphone counts as gone."""


class Microphone:
    """An open microphone, mono float32 at 16 kHz. Use it in a ``with`` and iterate over it.

    ``device`` is a number or part of a name of ``devices()``, None for the system's own choice.
    ``overflows`` counts the blocks before which sound was lost because the machine was too busy;
    a reading taken over such a gap may lack a word.
    """

    def __init__(self, device: int | str | None = None) -> None:
        self.overflows = 0
        self._blocks: queue.SimpleQueue[NDArray[np.float32]] = queue.SimpleQueue()
        sounddevice = _sounddevice()
        try:
            self._stream = sounddevice.InputStream(
                samplerate=RATE,
                blocksize=BLOCK,
                device=device,
                channels=1,
                dtype="float32",
                callback=self._take,
            )
        except (sounddevice.PortAudioError, ValueError) as error:
            raise AudioError(
                f"The microphone can't be opened ({error}). Plug it in, allow its use in the "
                f"system's settings, or name another one: {_listed(sounddevice)}."
            ) from error

    def __enter__(self) -> Self:
        self._stream.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stream.stop()
        self._stream.close()

    def __iter__(self) -> Iterator[NDArray[np.float32]]:
        """Blocks of shape (n,) without end; raises AudioError when the device has gone."""
        while True:
            try:
                yield self._blocks.get(timeout=_SILENT_FOR)
            except queue.Empty:
                raise AudioError(
                    "No sound has come from the microphone for some seconds. "
                    "Check its plug and start listening again."
                ) from None

    def forget(self) -> None:
        """Drops what was heard and not taken yet: the assistant's own voice, while it spoke."""
        while not self._blocks.empty():
            self._blocks.get()

    def _take(self, block: NDArray[np.float32], _frames: int, _time: Any, status: Any) -> None:
        # Called by PortAudio on its own thread: nothing slow may happen here.
        if status.input_overflow:
            self.overflows += 1
        self._blocks.put(block[:, 0].copy())


def devices() -> list[tuple[int, str]]:
    """The number and name of every device that sound can come from."""
    return [
        (number, str(device["name"]))
        for number, device in enumerate(_sounddevice().query_devices())
        if device["max_input_channels"] > 0
    ]


def _listed(sounddevice: ModuleType) -> str:
    named = [
        f"{number} {device['name']}"
        for number, device in enumerate(sounddevice.query_devices())
        if device["max_input_channels"] > 0
    ]
    return ", ".join(named) or "none is there"


def _sounddevice() -> ModuleType:
    try:
        import sounddevice
    except OSError as error:
        raise AudioError(
            "Listening needs the PortAudio library, which is not on this machine. On Debian and "
            "Ubuntu: sudo apt install libportaudio2. On Fedora: sudo dnf install portaudio."
        ) from error
    return sounddevice  # type: ignore[no-any-return, unused-ignore]
