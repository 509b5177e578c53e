"""The sound behind the entries: WAV files named by the SHA-256 of their bytes, beside a journal.

``sha256sum`` on a file must give its name. Erasing a recording leaves its hash in the journal, so
that the record stays whole, and a marker that says it was erased and not lost.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import wave
from contextlib import suppress
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.errors import RecordError
from assistant.record.journal import sync_folder

_NAME = re.compile(r"[0-9a-f]{64}")


class AudioFolder:
    """The folder is made when the first recording is kept."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, samples: NDArray[np.float32], rate: int = RATE) -> str:
        """Keep mono samples (shape (n,), full scale ±1) as 16-bit WAV; gives its SHA-256.

        The file is on the disk before this returns. Raises RecordError when it can't be written.
        """
        data = _wav(samples, rate)
        name = hashlib.sha256(data).hexdigest()
        path = self.folder / f"{name}.wav"
        if path.exists():
            return name
        part = path.with_suffix(".part")
        try:
            self.folder.mkdir(mode=0o700, exist_ok=True)
            with part.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
            sync_folder(self.folder)
        except OSError as error:
            with suppress(OSError):
                part.unlink()
            raise RecordError(
                f"NOT RECORDED: the sound could not be kept in {self.folder} ({error.strerror}). "
                "Stop. See to the disk, or record readings only (--no-audio)."
            ) from error
        return name

    def path(self, name: str) -> Path | None:
        """The WAV file of this hash; None when it was erased, or readings only were recorded."""
        if _NAME.fullmatch(name) is None:
            return None
        path = self.folder / f"{name}.wav"
        return path if path.is_file() else None

    def erased(self, name: str) -> bool:
        """Whether this recording was erased on purpose."""
        return _NAME.fullmatch(name) is not None and (self.folder / f"{name}.erased").exists()

    def why_erased(self, name: str) -> str:
        """The rule by which it was erased, "" where none was noted."""
        if not self.erased(name):
            return ""
        return (self.folder / f"{name}.erased").read_text("utf-8", "replace")

    def erase(self, name: str, why: str = "") -> bool:
        """Erase a recording; its hash stays in the journal, and ``why`` in the marker. False when
        it wasn't there."""
        path = self.path(name)
        if path is None:
            return False
        path.with_suffix(".erased").write_text(why, "utf-8")
        path.unlink()
        sync_folder(self.folder)
        return True


def _wav(samples: NDArray[np.float32], rate: int) -> bytes:
    pcm = np.round(np.clip(samples, -1.0, 1.0) * 32767).astype("<i2")
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(pcm.tobytes())
    return buffer.getvalue()
