"""SHA-256 of a model, by which a reading can be traced to what heard it.

A file's is that of its content. A folder's is that of the lines ``sha256sum`` prints for its files
in the order of their names: ``find * -type f | LC_ALL=C sort | xargs sha256sum | sha256sum``.
Hidden files are left out: they belong to the file manager, not to the model.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Collection, Iterator
from pathlib import Path


class Fingerprints:
    """Takes fingerprints; ``memory`` is a JSON file that keeps them by size and time of change,
    since reading a whole model at every start is slow. It saves time and proves nothing: who can
    write there can change the program too."""

    def __init__(self, memory: Path | None = None) -> None:
        self._memory = memory
        self._known = _read(memory)

    def of(self, path: Path, only: Collection[str] = ()) -> str:
        """Of a file or a folder; ``only`` names the files of a folder that count, () is all.

        Raises OSError where a file can't be read.
        """
        before = dict(self._known)
        if path.is_dir():
            lines = (f"{self._file(path / name)}  {name}\n" for name in _names(path, only))
            found = hashlib.sha256("".join(lines).encode()).hexdigest()
        else:
            found = self._file(path)
        if self._known != before:
            self._write()
        return found

    def _file(self, path: Path) -> str:
        status = path.stat()
        key, state = str(path.absolute()), [status.st_size, status.st_mtime_ns]
        known = self._known.get(key)
        if known is None or known[:2] != state:
            with path.open("rb") as file:
                known = [*state, hashlib.file_digest(file, "sha256").hexdigest()]
            self._known[key] = known
        return str(known[2])

    def _write(self) -> None:
        """Kept where that is possible: a folder that can't be written costs time only."""
        if self._memory is None:
            return
        with contextlib.suppress(OSError):
            self._memory.parent.mkdir(parents=True, exist_ok=True)
            new = self._memory.with_name(f"{self._memory.name}.{os.getpid()}")
            new.write_text(json.dumps(self._known, indent=1), "utf-8")
            new.replace(self._memory)


def _names(folder: Path, only: Collection[str]) -> list[str]:
    return sorted(name for name in _files(folder) if not only or name in only)


def _files(folder: Path) -> Iterator[str]:
    for root, folders, files in os.walk(folder):
        folders[:] = [name for name in folders if name[0] != "."]
        for name in files:
            if name[0] != ".":
                yield (Path(root) / name).relative_to(folder).as_posix()


def _read(memory: Path | None) -> dict[str, list[int | str]]:
    """What was kept; nothing where it is missing or damaged, since it can be taken again."""
    try:
        kept = json.loads(memory.read_text("utf-8")) if memory else {}
    except (OSError, ValueError):
        return {}
    if not isinstance(kept, dict):
        return {}
    return {key: row for key, row in kept.items() if isinstance(row, list) and len(row) == 3}
