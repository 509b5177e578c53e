"""One writer a journal: an exclusive lock that the system drops when the process ends, however.

The lock is on a file beside the journal, so readers are never kept out. The file holds the number
of the process that has it and stays there when the lock is given back.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from assistant.errors import RecordError

_FLAGS = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0)
_FAR = 1 << 20
"""Windows locks bytes, and keeps readers off them: one far behind the process number."""


class Lock:
    """Held from construction to ``release``. Raises RecordError saying which process has it."""

    def __init__(self, path: Path) -> None:
        try:
            self._file: int | None = os.open(path, _FLAGS, 0o600)
        except OSError as error:
            raise RecordError(
                f"Nothing can be recorded in {path.parent} ({error.strerror}). Give yourself the "
                "right to write there, or set BENCHCALL_HOME to another folder."
            ) from error
        try:
            _take(self._file)
        except OSError as error:
            os.lseek(self._file, 0, os.SEEK_SET)
            holder = os.read(self._file, 32).decode("ascii", "replace").strip()
            os.close(self._file)
            raise RecordError(
                f"Process {holder or 'unknown'} is already writing this session ({path.parent}). "
                "End it, or work in another session; two can't write one journal."
            ) from error
        with suppress(OSError):  # a full disk: the lock holds all the same
            os.ftruncate(self._file, 0)
            os.write(self._file, f"{os.getpid()}\n".encode())

    def release(self) -> None:
        """Give the lock back; a second call does nothing."""
        if self._file is not None:
            _give(self._file)
            os.close(self._file)
            self._file = None


if sys.platform == "win32":  # pragma: no cover
    import msvcrt

    def _take(file: int) -> None:
        os.lseek(file, _FAR, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        os.lseek(file, 0, os.SEEK_SET)

    def _give(file: int) -> None:
        os.lseek(file, _FAR, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _give(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)
