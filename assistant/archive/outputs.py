"""Where results lie: <out>/<way>/<SHA-256 of the recording>.json, each whole or not there.

Beside them way.json says what the way is made of, and recordings.jsonl which files of the archive
each hash stands for. A result that is there is never made again, so a stopped run goes on where it
was; one recording under two names is heard once.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from assistant.archive.way import Way
from assistant.errors import RecordError
from assistant.record.journal import sync_folder

Result = dict[str, Any]


class Outputs:
    """The results of one way. Raises RecordError where they can't be written."""

    def __init__(self, out: Path, way: Way) -> None:
        self.way = way
        self.folder = out / way.id
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._write("way.json", json.dumps(way.document(), indent=1) + "\n")
        except OSError as error:
            raise self._failed(error) from error

    def has(self, audio: str) -> bool:
        """Whether this recording was heard by this way, and the result is whole."""
        try:
            result = json.loads((self.folder / f"{audio}.json").read_bytes())
        except (OSError, ValueError):
            return False
        return isinstance(result, dict) and result.get("audio") == audio

    def keep(self, result: Result) -> None:
        """On the disk when this returns."""
        text = json.dumps(result, indent=1, sort_keys=True) + "\n"
        try:
            self._write(f"{result['audio']}.json", text)
        except OSError as error:
            raise self._failed(error) from error

    def list_recordings(self, lines: Iterable[Result]) -> None:
        """Which file is which recording, and which could not be heard."""
        try:
            self._write("recordings.jsonl", "".join(json.dumps(line) + "\n" for line in lines))
        except OSError as error:
            raise self._failed(error) from error

    def _write(self, name: str, text: str) -> None:
        path = self.folder / name
        part = path.with_name(f".{name}.{os.getpid()}.part")
        with part.open("w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        sync_folder(self.folder)

    def _failed(self, error: OSError) -> RecordError:
        return RecordError(
            f"The results can't be written to {self.folder} ({error.strerror or error}). Free some "
            "space or choose another folder with --out; what is there is whole, and the same "
            "command goes on from it."
        )
