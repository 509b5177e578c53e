"""The append-only journal of a session: an entry is on the disk before ``append`` returns.

A write or flush that fails is never tried again: what reached the disk is then unknown (a second
fsync may succeed without having written anything), so the journal refuses all further work, cuts
off what was not acknowledged, and must be opened again, which verifies it from the first byte.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, Self

from assistant.errors import RecordError
from assistant.record.chain import read_chain
from assistant.record.entry import NOTHING_BEFORE, Entry, Kind, decode, encode
from assistant.record.lock import Lock
from assistant.record.moment import now, stamp

_APPEND = os.O_WRONLY | os.O_APPEND | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)

Clock = Callable[[], datetime]


class Journal:
    """A journal open for writing, by one process at a time; made by ``create`` or ``reopen``.

    ``torn`` is the file to which ``reopen`` put the remains of an entry that a crash cut off
    before it was acknowledged, None when there were none.
    """

    def __init__(self, path: Path, clock: Clock, lock: Lock, flags: int) -> None:
        self.path = path
        self.torn: Path | None = None
        self.clock = clock
        self._lock = lock
        self._entries: list[Entry] = []
        self._length = 0
        self._file: int | None = None
        try:
            self._file = os.open(path, _APPEND | flags, 0o600)
        except OSError as error:
            raise self._failed(error) from error

    @classmethod
    def create(cls, path: Path, opening: Mapping[str, Any], clock: Clock = now) -> Self:
        """A new journal whose first entry is ``opening``; its folder must exist.

        Raises RecordError when it can't be written or is there already.
        """
        journal = cls(path, clock, Lock(_lock_path(path)), os.O_CREAT | os.O_EXCL)
        journal.append("opened", opening)
        try:
            sync_folder(path.parent)
        except OSError as error:
            raise journal._failed(error) from error
        return journal

    @classmethod
    def reopen(cls, path: Path, clock: Clock = now) -> Self:
        """Verify an existing journal and go on in it.

        Raises RecordError when another process writes it, or when it is damaged: then it names
        the line and changes nothing.
        """
        lock = Lock(_lock_path(path))
        try:
            data = path.read_bytes()
            chain = read_chain(data)
            entries = chain.trusted(path.name)
            journal = cls(path, clock, lock, 0)
        except OSError as error:
            lock.release()
            raise RecordError(_unreadable(path, error)) from error
        except RecordError:
            lock.release()
            raise
        journal._entries = list(entries)
        verified = data[: chain.length] + (b"\n" if chain.unended else b"")
        try:
            journal._write_anew(verified, chain.tail)
        except OSError as error:
            journal.close()
            raise _not_recorded(path, error) from error
        return journal

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries, the opening first."""
        return tuple(self._entries)

    @property
    def head(self) -> str:
        """The seal of the last entry: it stands for the whole journal up to here."""
        return self._entries[-1].sha256

    def append(self, kind: Kind, body: Mapping[str, Any]) -> Entry:
        """Write one entry; when this returns, it survives the loss of power.

        Raises RecordError when it could not be written: it is then not in the record, and the
        journal must be opened again. A body that JSON can't hold is refused, and does no harm.
        """
        if self._file is None:
            raise RecordError(
                f"The journal {self.path} is closed; nothing was recorded. Open the session again."
            )
        previous = self._entries[-1].sha256 if self._entries else NOTHING_BEFORE
        try:
            line = encode(len(self._entries) + 1, stamp(self.clock()), kind, body, previous)
            entry = decode(line)
        except ValueError as error:
            raise RecordError(
                f"This {kind} can't be recorded: {error}. Say or type it again."
            ) from error
        try:
            _write(self._file, line + b"\n")
            os.fsync(self._file)
            self._length += len(line) + 1
            self._entries.append(entry)
        except OSError as error:
            raise self._failed(error) from error
        except BaseException:  # Ctrl-C half way: as unknown as a failure
            self._give_up()
            raise
        return entry

    def close(self) -> None:
        """Close the file and give the lock back; a second call does nothing."""
        if self._file is not None:
            os.close(self._file)
            self._file = None
        self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _write_anew(self, verified: bytes, tail: bytes) -> None:
        """Sets a torn tail aside and puts what was verified into a new file in the place of the
        old one. Flushing the old one would not do: after a flush that failed the system may take
        for written what is in its memory only, and from here on it is all relied on."""
        if tail:
            self.torn = _set_aside(self.path, tail)
        part = self.path.with_name(self.path.name + ".new")
        try:
            with part.open("wb", buffering=0) as file:
                part.chmod(0o600)
                _write(file.fileno(), verified)
                os.fsync(file.fileno())
            if self._file is not None:
                os.close(self._file)
                self._file = None
            part.replace(self.path)
        except OSError:
            with suppress(OSError):
                part.unlink()
            raise
        self._file = os.open(self.path, _APPEND)
        self._length = len(verified)
        sync_folder(self.path.parent)

    def _give_up(self) -> None:
        """Close for good, and cut off what was not acknowledged, so that it can't turn up later
        beside its repetition. That may fail too: then opening again finds it out."""
        if self._file is not None:
            with suppress(OSError):
                os.ftruncate(self._file, self._length)
        self.close()

    def _failed(self, error: OSError) -> RecordError:
        self._give_up()
        return _not_recorded(self.path, error)


def _unreadable(path: Path, error: OSError) -> str:
    return (
        f"{path} can't be read ({error.strerror}). Nothing was changed. Give yourself the right to "
        "read it, or see to the disk."
    )


def read_journal(path: Path) -> tuple[Entry, ...]:
    """The entries of a journal, for readers: no lock, no change; a torn last line is left out.

    Raises RecordError when the file can't be read or is damaged.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise RecordError(_unreadable(path, error)) from error
    return read_chain(data).trusted(path.name)


def sync_folder(folder: Path) -> None:
    """Make a new file's name in ``folder`` survive the loss of power."""
    if sys.platform == "win32":  # pragma: no cover
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write(file: int, data: bytes) -> None:
    while data:
        data = data[os.write(file, data) :]


def _lock_path(path: Path) -> Path:
    return path.with_name(path.name + ".lock")


def _set_aside(path: Path, tail: bytes) -> Path:
    number = 1
    while True:
        torn = path.with_name(f"{path.name}.{number}.torn")
        try:
            with torn.open("xb") as file:
                file.write(tail)
                file.flush()
                os.fsync(file.fileno())
        except FileExistsError:
            number += 1
            continue
        sync_folder(path.parent)
        return torn


def _not_recorded(path: Path, error: OSError) -> RecordError:
    return RecordError(
        f"NOT RECORDED: writing {path} failed ({error.strerror or error}). Stop. See to "
        f"the disk (is it full, write-protected or unplugged?), then open the session again "
        f"(--session {path.parent.name}): all that was said back before is checked then, and "
        "what was not must be said again."
    )
