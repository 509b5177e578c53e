"""Fetches the small US English Vosk model: checked, resumed where it broke off, put in place whole.

The address and the list of models are those that the Vosk project documents. The list gives an MD5
sum, which shows damage; the SHA-256 of the first download is remembered, and another one under the
same name is refused. Both come over HTTPS: that, and not the MD5, keeps a stranger out.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from http.client import HTTPException, HTTPResponse
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.error import HTTPError

from assistant.errors import ModelError
from assistant.hearing.fingerprint import Fingerprints
from assistant.hearing.first_use import FirstUse, first_use, note_of, remember
from assistant.hearing.https import open_https
from assistant.hearing.model_store import is_vosk_model
from assistant.hearing.unpack import unpack

VOSK_MODELS = "https://alphacephei.com/vosk/models/"
LIST = "model-list.json"
LARGEST_LIST = 5_000_000
LARGEST_ARCHIVE = 200_000_000
"""Bytes; the small English model's archive has about 40 MB."""
RANGE_REFUSED = 416
"""HTTP's "range not satisfiable": what is here does not fit what the server has."""
_NAME = re.compile(r"vosk-model-small-en-us-[0-9A-Za-z.]*[0-9A-Za-z]")
_BLOCK = 1 << 16

Progress = Callable[[int, int], object]


@dataclass(frozen=True, slots=True)
class Listed:
    """A model of Vosk's list: its name, the MD5 sum and the bytes of its archive."""

    name: str
    md5: str
    size: int


def fetch_vosk(
    folder: Path,
    *,
    address: str = VOSK_MODELS,
    progress: Progress | None = None,
    loopback_http: bool = False,
) -> Path:
    """The model's folder below ``folder``, fetched now. ``progress`` is told the bytes that are
    here and those there will be. What broke off stays, and the next call goes on from there.

    Raises ModelError, with what to do, where it can't be fetched, is not what it should be, or
    can't be written; what was in place before stays as it was.
    """
    address = address.rstrip("/") + "/"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            listed = _listed(address, loopback_http)
            part = folder / f"{listed.name}.zip.part"
            _download(f"{address}{listed.name}.zip", part, listed.size, progress, loopback_http)
        except ModelError as error:
            raise ModelError(f"{error} {_by_hand(folder)}") from error
        sha256 = _verified(part, listed, folder)
        return _put_in_place(part, folder, FirstUse(sha256, "", address), listed.name)
    except OSError as error:
        raise ModelError(
            f"The Vosk model can't be written to {folder} ({error.strerror}). Free 200 MB there, "
            "give yourself the right to write, or set BENCHCALL_HOME to another folder; then run "
            "benchcall models --get again."
        ) from error


def _listed(address: str, loopback_http: bool) -> Listed:
    """The current small US English model, as Vosk itself picks it from its list."""
    with open_https(address + LIST, loopback_http=loopback_http) as answer:
        text = b"".join(_blocks(answer, LARGEST_LIST))
    try:
        [first, *_] = [
            row
            for row in json.loads(text)
            if (row["lang"], row["type"], row["obsolete"]) == ("en-us", "small", "false")
        ]
        listed = Listed(str(first["name"]), str(first["md5"]).lower(), int(first["size"]))
    except (ValueError, KeyError, TypeError) as error:
        raise ModelError(
            f"The list at {address}{LIST} names no small US English model, so nothing was fetched. "
            "Try again later."
        ) from error
    sound = _NAME.fullmatch(listed.name) and re.fullmatch(r"[0-9a-f]{32}", listed.md5)
    if not sound or not 0 < listed.size <= LARGEST_ARCHIVE:
        raise ModelError(
            f"The list at {address}{LIST} is not one to trust, so nothing was fetched: it holds "
            f"{listed}. Try again later."
        )
    return listed


def _download(
    address: str, part: Path, size: int, progress: Progress | None, loopback_http: bool
) -> None:
    here = part.stat().st_size if part.exists() else 0
    if here >= size:
        return
    try:
        answer = open_https(address, beginning=here, loopback_http=loopback_http)
    except ModelError as error:
        if isinstance(error.__cause__, HTTPError) and error.__cause__.code == RANGE_REFUSED:
            part.unlink()
        raise
    with answer:
        goes_on = str(answer.headers.get("Content-Range", "")).startswith(f"bytes {here}-")
        resumed = answer.status == 206 and goes_on
        here = here if resumed else 0
        with part.open("ab" if resumed else "wb") as file:
            for block in _blocks(answer, size - here):
                file.write(block)
                here += len(block)
                if progress:
                    progress(here, size)
    if here < size:
        raise ModelError(
            f"The download broke off after {here} of {size} bytes. Run benchcall models --get "
            "again: it goes on from there."
        )


def _blocks(answer: HTTPResponse, most: int) -> Iterator[bytes]:
    """What comes, until it ends or breaks off; never more than ``most`` bytes."""
    while most > 0:
        try:
            block = answer.read(min(_BLOCK, most))
        except (OSError, HTTPException):
            return
        if not block:
            return
        most -= len(block)
        yield block


def _verified(part: Path, listed: Listed, folder: Path) -> str:
    """The archive's SHA-256, once its MD5 is the list's and it is what it was the first time."""
    md5, sha256 = hashlib.md5(usedforsecurity=False), hashlib.sha256()
    with part.open("rb") as file:
        while block := file.read(1 << 20):
            md5.update(block)
            sha256.update(block)
    if md5.hexdigest() != listed.md5:
        part.unlink()
        raise ModelError(
            f"What came is not {listed.name}: its MD5 is {md5.hexdigest()}, and Vosk's list says "
            f"{listed.md5}. It was thrown away; run benchcall models --get again."
        )
    first = first_use(folder, listed.name)
    if first and first.archive != sha256.hexdigest():
        part.unlink()
        raise ModelError(
            f"{listed.name} is not what it was the first time: its SHA-256 was {first.archive} and "
            f"is {sha256.hexdigest()} now. It was thrown away. If the Vosk project says that it "
            f"changed the model, delete {note_of(folder, listed.name)} and fetch it again."
        )
    return sha256.hexdigest()


def _put_in_place(part: Path, folder: Path, first: FirstUse, name: str) -> Path:
    """Unpacked aside and renamed, so that a model is there whole or not at all."""
    target = folder / name
    with TemporaryDirectory(dir=folder, prefix=".unpacking-") as aside:
        before = Path(aside) / "before"
        try:
            fresh = unpack(part, Path(aside), name)
            if not is_vosk_model(fresh):
                raise ModelError(
                    f"{name} holds no model that Vosk could load, so it was thrown away. Run "
                    f"benchcall models --get again. {_by_hand(folder)}"
                )
        except ModelError:
            part.unlink()
            raise
        remember(folder, name, FirstUse(first.archive, Fingerprints().of(fresh), first.address))
        if target.exists():
            target.rename(before)
        try:
            fresh.rename(target)
        except OSError:
            if before.exists():
                before.rename(target)
            raise
    part.unlink()
    return target


def _by_hand(folder: Path) -> str:
    return (
        "Or by hand: on a computer with a network open https://alphacephei.com/vosk/models, fetch "
        "the small US English model, unpack it, and put its folder (vosk-model-small-en-us-…) into "
        f"{folder}, or name it in BENCHCALL_MODEL."
    )
