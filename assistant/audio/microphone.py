"""The microphone: blocks of sound as they are spoken, and what became of the ones that are not."""

from __future__ import annotations

import queue
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from assistant.audio.sound_devices import sound_devices, sound_library
from assistant.audio.utterance import RATE
from assistant.audio.voice import CHUNK
from assistant.errors import AudioError

BLOCK = CHUNK
"""Samples in a block: 32 ms, what the voice detector takes at once."""
SILENT_FOR = 2.0
"""Seconds without a block after which the microphone counts as gone."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Mono float32 of shape (BLOCK,), full scale ±1; ``after_gap`` where sound was lost before
    it, because the machine was too busy to take it."""

    samples: NDArray[np.float32]
    after_gap: bool = False


class Microphone:
    """An open microphone, mono float32 at 16 kHz. Use it in a ``with`` and read from it.

    ``device`` is a number or part of a name of ``sound_devices``, None for the system's own choice.
    """

    def __init__(self, device: int | str | None = None) -> None:
        self._blocks: queue.SimpleQueue[Block | None] = queue.SimpleQueue()
        sounddevice = sound_library()
        try:
            self._stream = sounddevice.InputStream(
                samplerate=RATE,
                blocksize=BLOCK,
                device=device,
                channels=1,
                dtype="float32",
                callback=self._take,
                finished_callback=self._gone,
            )
        except (sounddevice.PortAudioError, ValueError) as error:
            named = [f"{number} {name}" for number, name in sound_devices("input").items()]
            raise AudioError(
                f"The microphone can't be opened ({error}). Plug it in, allow its use in the "
                f"system's settings, or name another one: {', '.join(named) or 'none is there'}."
            ) from error

    def __enter__(self) -> Self:
        self._stream.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stream.abort()
        self._stream.close()

    def read(self, seconds: float = SILENT_FOR) -> Block:
        """The next block; raises AudioError where none comes within so many seconds, or the
        device has gone."""
        try:
            block = self._blocks.get(timeout=seconds)
        except queue.Empty:
            block = None
        if block is None:
            raise AudioError(
                "No sound comes from the microphone any more. Check its plug and its switch; "
                "listening goes on when it is back."
            )
        return block

    def __iter__(self) -> Iterator[NDArray[np.float32]]:
        """The samples of block after block, without end."""
        while True:
            yield self.read().samples

    def forget(self) -> int:
        """Drops what was heard and not taken yet: the assistant's own voice, while it spoke.
        Gives the number of samples dropped."""
        dropped = 0
        while not self._blocks.empty():
            block = self._blocks.get()
            if block is None:
                self._blocks.put(None)  # that the device has gone is told to the next reader
                break
            dropped += len(block.samples)
        return dropped

    def _take(self, block: NDArray[np.float32], _frames: int, _time: Any, status: Any) -> None:
        # Called by PortAudio on its own thread: nothing slow may happen here.
        self._blocks.put(Block(block[:, 0].copy(), bool(status.input_overflow)))

    def _gone(self) -> None:
        self._blocks.put(None)
