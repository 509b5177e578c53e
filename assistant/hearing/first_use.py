"""Trust on first use: what a downloaded model was the first time, written beside it.

Nobody publishes SHA-256 sums of these models, so none is pinned. The sum of the first download is
kept; another one under the same name is refused until a person has looked.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

from assistant.errors import ModelError


@dataclass(frozen=True, slots=True)
class FirstUse:
    """``archive`` and ``folder`` are the SHA-256 of the archive and (assistant.hearing.fingerprint)
    of what was unpacked; ``address`` is where it came from."""

    archive: str
    folder: str
    address: str


def note_of(folder: Path, name: str) -> Path:
    """The file that keeps the sums of the model ``name`` in the models folder ``folder``."""
    return folder / f"{name}.first-use.json"


def first_use(folder: Path, name: str) -> FirstUse | None:
    """What is remembered; None where the model was not downloaded by benchcall.

    Raises ModelError where the note is damaged: trust is not renewed by damage.
    """
    note = note_of(folder, name)
    try:
        return FirstUse(**json.loads(note.read_text("utf-8")))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, TypeError) as error:
        raise ModelError(
            f"{note} can't be read ({error}). Delete it and the folder {name} beside it, then "
            "fetch the model again: benchcall models --get."
        ) from error


def remember(folder: Path, name: str, first: FirstUse) -> None:
    note = note_of(folder, name)
    new = note.with_suffix(".new")
    new.write_text(json.dumps(asdict(first), indent=1) + "\n", "utf-8")
    new.replace(note)
