"""Recordings: any sound file becomes mono float32 blocks at 16 kHz, read as a stream.

A three-hour file takes no more memory than a short one. What can't be used is refused with an
AudioError that says what to do; a file that is shorter than its header says is read as far as it
goes, and a warning is logged.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.errors import AudioError

if TYPE_CHECKING:
    from soundfile import SoundFile

BLOCK_SECONDS = 0.25
LOWEST_RATE = 8_000
"""Hz. A telephone's rate; below it consonants are gone and numbers can't be told apart."""
HIGHEST_RATE = 768_000
"""Hz. No recorder goes beyond it; resampling from a damaged head's 2 GHz took 1.9 GB."""
_FULL_SCALE_LIMIT = 8.0
"""Float files are ±1 by convention; far beyond it they hold other units (often ±32768)."""
_HOW_TO = "Save it as 16-bit WAV (FLAC, OGG and MP3 are read too) and try again."

_log = logging.getLogger(__name__)


def read_blocks(
    path: str | Path, block_seconds: float = BLOCK_SECONDS
) -> Iterator[NDArray[np.float32]]:
    """Yield the recording as float32 blocks of shape (n,), 16 kHz, full scale ±1, mixed down.

    The total is the file's length at 16 kHz, to the sample. Raises AudioError for a file that is
    missing, a folder, empty, not sound, without any sound in it, or damaged at its beginning.
    """
    import soxr

    path = Path(path)
    with _opened(path) as sound:
        rate, promised = sound.samplerate, sound.frames
        if rate < LOWEST_RATE:
            raise AudioError(
                f"{path} was recorded at {rate} Hz, too low to tell spoken numbers apart. "
                f"Record again at {RATE} Hz or more."
            )
        if rate > HIGHEST_RATE:
            raise AudioError(
                f"{path} claims {rate} samples a second, more than any recorder takes: its head is "
                f"damaged. Copy the file again from where it was recorded."
            )
        resampler = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, dtype="float32")
        found = given = 0
        for block in _raw_blocks(path, sound, max(1, round(block_seconds * rate))):
            found += len(block)
            mono = _mixed_down(path, block)
            out = mono if resampler is None else _within(resampler.resample_chunk(mono))
            if len(out):
                given += len(out)
                yield out
        if resampler is not None:
            rest = _within(resampler.resample_chunk(np.empty(0, np.float32), last=True))
            if len(rest):
                given += len(rest)
                yield rest
        if given == 0:
            raise AudioError(
                f"{path} holds no sound (it is {found / rate:.3g} s long): the recorder was "
                f"stopped before anything was saved. Record again and check the microphone."
            )
        missing = max(promised - found, _missing_frames(path, sound))
        if missing > 0:
            _log.warning(
                "%s is cut short: %.2f s of %.2f s are there. What is there was read; "
                "check the last reading, or copy the file again.",
                path,
                found / rate,
                (found + missing) / rate,
            )


def read(path: str | Path) -> NDArray[np.float32]:
    """The whole recording at once, as ``read_blocks`` gives it; for short files."""
    return np.concatenate(list(read_blocks(path)))


@contextmanager
def _opened(path: Path) -> Iterator[SoundFile]:
    import soundfile

    if path.is_dir():
        raise AudioError(f"{path} is a folder. Name the recordings in it, like {path / '*.wav'}.")
    try:
        size = path.stat().st_size
    except FileNotFoundError:
        raise AudioError(f"There is no file {path}. Check the name and the folder.") from None
    except OSError as error:
        raise AudioError(
            f"{path} can't be reached: {error.strerror}. Is the stick or drive plugged in?"
        ) from error
    if not os.access(path, os.R_OK):
        raise AudioError(f"{path} may not be read. Give yourself the right to read it.")
    if size == 0:
        raise AudioError(f"{path} is empty (0 bytes): nothing was saved in it. Record it again.")

    class ForwardOnly(soundfile.SoundFile):  # type: ignore[misc, unused-ignore]
        def seekable(self) -> bool:
            # soundfile seeks after every read, and libsndfile then loses every other block of MP3.
            return False

    try:
        sound = ForwardOnly(path)
    except (soundfile.SoundFileError, TypeError, OSError) as error:
        # TypeError: soundfile takes names like x.raw for headerless sound and wants its format.
        raise AudioError(f"{path} is not a recording that can be read. {_HOW_TO}") from error
    with sound:
        yield sound


def _raw_blocks(path: Path, sound: SoundFile, frames: int) -> Iterator[NDArray[np.float32]]:
    """Blocks as they stand in the file, shape (n, channels), until its end or its damage."""
    import soundfile

    found = 0
    while True:
        try:
            block = sound.read(frames, dtype="float32", always_2d=True)
        except soundfile.SoundFileError as error:
            if found == 0:
                raise AudioError(f"{path} is damaged and can't be read. {_HOW_TO}") from error
            return
        if len(block) == 0:
            return
        found += len(block)
        yield block


def _mixed_down(path: Path, block: NDArray[np.float32]) -> NDArray[np.float32]:
    if not np.isfinite(block).all():
        raise AudioError(f"{path} holds values that are not numbers: it is damaged. {_HOW_TO}")
    mono: NDArray[np.float32] = block.mean(axis=1, dtype=np.float32)
    if np.abs(mono).max() > _FULL_SCALE_LIMIT:
        raise AudioError(f"{path} is far beyond full scale (±1 for float files). {_HOW_TO}")
    return _within(mono)


def _within(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """A resampler's filter overshoots where sound reaches full scale."""
    return np.clip(samples, -1, 1)


def _missing_frames(path: Path, sound: SoundFile) -> int:
    """Frames that a WAV header promises beyond the file's end (libsndfile hides the lie)."""
    if sound.format not in {"WAV", "WAVEX"}:
        return 0
    with path.open("rb") as file:
        file.seek(12)
        block_align = 0
        while len(head := file.read(8)) == 8:
            name, size = head[:4], int.from_bytes(head[4:], "little")
            if name == b"fmt ":
                block_align = int.from_bytes(file.read(size)[12:14], "little")
                file.seek(size % 2, 1)
            elif name == b"data":
                # A recorder that could not seek back leaves all ones: no promise was made.
                if size >= 0xFFFFFF00 or block_align == 0:
                    return 0
                return max(0, size - (path.stat().st_size - file.tell())) // block_align
            else:
                file.seek(size + size % 2, 1)
    return 0
