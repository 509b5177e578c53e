"""Brings sessions from a stick (or any folder) home: verified, whole or not at all, as often as
one likes.

What is here already is compared line by line: of two copies of one journal the one that goes on
from the other is kept. Where each has entries that the other lacks, neither is touched and it is
told. Sound is kept by the hash that names it, so a file that does not fit its name stays behind.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from assistant.errors import RecordError, UnknownNameError
from assistant.record.chain import Chain, read_chain
from assistant.record.journal import sync_folder
from assistant.record.lock import Lock
from assistant.record.store import JOURNAL, REVIEW, Store

Fate = Literal["new", "longer", "known", "damaged", "refused"]
"""``new``: it was not here. ``longer``: it goes on from what was here. ``known``: nothing to do.
``damaged``: it was not here and came in as it is, for the list to show. ``refused``: left alone."""

Progress = Callable[[int, int], None]
"""Called with how many sessions are done, and of how many."""

MOST_BYTES = 512 * 1024 * 1024
"""Of one file: larger ones are no journal and no utterance."""
_SOUND = re.compile(r"([0-9a-f]{64})\.(wav|erased)")


@dataclass(frozen=True, slots=True)
class Collected:
    """What became of one session; ``told`` says why, or what was left behind, "" for nothing."""

    session: str
    fate: Fate
    sounds: int = 0
    told: str = ""


def collect(store: Store, folder: Path, progress: Progress | None = None) -> tuple[Collected, ...]:
    """Copy every session that ``folder`` holds (itself a home, a folder of sessions, or a folder
    that has one of these in it) into ``store``.

    Raises UnknownNameError when it holds none, RecordError when nothing can be written here.
    """
    found = sorted(set(_sessions_in(folder)), key=lambda path: path.name)
    if not found:
        raise UnknownNameError(
            f"There are no sessions in {folder}. Give the folder that holds them: on a stick it "
            "is the one named sessions, or the one above it."
        )
    try:
        store.folder.mkdir(parents=True, exist_ok=True)
        told = []
        for number, path in enumerate(found, start=1):
            told.append(_one(store, path))
            if progress is not None:
                progress(number, len(found))
    except OSError as error:
        raise RecordError(
            f"Nothing more could be copied to {store.folder} ({error.strerror or error}). What "
            "was copied so far is whole. Free some space or see to the stick, then collect again."
        ) from error
    return tuple(told)


def _sessions_in(folder: Path) -> Iterator[Path]:
    """Practice sessions are no sessions of the depot: their folder is not looked into."""
    if not folder.is_dir():
        raise UnknownNameError(f"There is no folder {folder}. Is the stick plugged in?")
    for place in (folder, folder / "sessions", *sorted(folder.glob("*/sessions"))):
        if place.is_dir() and place.parent.name != "practice":
            for path in place.iterdir():
                if Store.is_id(path.name) and path.is_dir() and not path.is_symlink():
                    yield path.resolve()


def _one(store: Store, source: Path) -> Collected:
    name = source.name
    target = store.folder / name
    try:
        journal = _read(source / JOURNAL)
        review = _read(source / REVIEW) if (source / REVIEW).exists() else b""
    except (OSError, ValueError) as error:
        return Collected(name, "refused", told=f"It can't be read: {error}.")
    chain = read_chain(journal)
    if chain.entries and chain.entries[0].body.get("session") != name:
        return Collected(name, "refused", told="Its journal is that of another session.")
    if not target.exists():
        return _bring(store, source, journal, review)
    try:
        return _merge(source, target, journal, review)
    except RecordError as error:
        return Collected(name, "refused", told=str(error))


def _bring(store: Store, source: Path, journal: bytes, review: bytes) -> Collected:
    """Put together beside its place, then moved there in one step."""
    part = store.folder / f".{source.name}.part"
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir(mode=0o700)
    _write(part / JOURNAL, journal)
    if review:
        _write(part / REVIEW, review)
    sounds, told = _sounds(source / "audio", part / "audio")
    sync_folder(part)
    part.rename(store.folder / source.name)
    sync_folder(store.folder)
    damaged = read_chain(journal).damage or (review and read_chain(review).damage)
    if damaged:
        told = f"Damaged at line {damaged.line}: {damaged.why}. {told}".strip()
    return Collected(source.name, "damaged" if damaged else "new", sounds, told)


def _merge(source: Path, target: Path, journal: bytes, review: bytes) -> Collected:
    """Raises RecordError where one of the files has gone its own way; none is touched then."""
    with _held(target / JOURNAL), _held(target / REVIEW):
        here = {JOURNAL: _here(target / JOURNAL), REVIEW: _here(target / REVIEW)}
        goes_on = {
            name: _goes_on(name, here[name], data)
            for name, data in ((JOURNAL, journal), (REVIEW, review))
            if data
        }
        for name, data in ((JOURNAL, journal), (REVIEW, review)):
            if goes_on.get(name):
                if read_chain(here[name]).damage:
                    _write(target / f"{name}.damaged", here[name])
                _write(target / name, data)
        sync_folder(target)
    sounds, told = _sounds(source / "audio", target / "audio")
    return Collected(source.name, "longer" if any(goes_on.values()) else "known", sounds, told)


def _goes_on(name: str, here: bytes, other: bytes) -> bool:
    """Whether ``other`` begins as ``here`` does and goes on, or mends it."""
    mine, theirs = read_chain(here), read_chain(other)
    own, told = _seals(mine), _seals(theirs)
    if theirs.damage is not None and own[: len(told)] == told:
        return False  # what of it can be trusted is here
    if theirs.damage is None and told[: len(own)] == own:
        return len(told) > len(own) or (mine.damage is not None and len(told) == len(own))
    if mine.damage is None and own[: len(told)] == told:
        return False
    at = next((i for i, (a, b) in enumerate(zip(own, told, strict=False)) if a != b), len(own))
    raise RecordError(
        f"Not copied: {name} here and on the stick part ways after line {at}; each has entries "
        "that the other lacks, so one of them was written by somebody else or changed. Keep both "
        "and compare their heads with the ones noted at close."
    )


def _seals(chain: Chain) -> list[str]:
    return [entry.sha256 for entry in chain.entries]


def _sounds(source: Path, target: Path) -> tuple[int, str]:
    """How many recordings came in, and what is to be told. What was erased here stays erased."""
    if not source.is_dir() or source.is_symlink():
        return 0, ""
    copied, strange = 0, []
    for path in sorted(source.iterdir()):
        match = _SOUND.fullmatch(path.name)
        if match is None or path.is_symlink() or not path.is_file():
            continue
        here = target / path.name
        if here.exists() or here.with_suffix(".erased").exists():
            continue
        data = _read(path)
        if match[2] == "wav" and hashlib.sha256(data).hexdigest() != match[1]:
            strange.append(path.name[:8])
            continue
        target.mkdir(mode=0o700, exist_ok=True)
        _write(here, data if match[2] == "wav" else b"")
        copied += match[2] == "wav"
    if target.is_dir():
        sync_folder(target)
    told = f"Sound that does not fit its hash was left behind: {', '.join(strange)}."
    return copied, told if strange else ""


@contextmanager
def _held(path: Path) -> Iterator[None]:
    """The lock of a journal, so that nobody writes it meanwhile."""
    lock = Lock(path.with_name(path.name + ".lock"))
    try:
        yield
    finally:
        lock.release()


def _here(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""


def _read(path: Path) -> bytes:
    if path.is_symlink() or not path.is_file():
        raise ValueError(f"{path.name} is no file")
    if path.stat().st_size > MOST_BYTES:
        raise ValueError(f"{path.name} is larger than {MOST_BYTES // 1024**2} MB")
    return path.read_bytes()


def _write(path: Path, data: bytes) -> None:
    part = path.with_name(f".{path.name}.part")
    with part.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
