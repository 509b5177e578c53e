"""Unpacks an archive from elsewhere: nothing leaves the folder, nothing is too big, no links."""

from __future__ import annotations

import re
import stat
import zlib
from pathlib import Path
from zipfile import BadZipFile, ZipFile, ZipInfo

from assistant.errors import ModelError

MOST_BYTES = 500_000_000
"""The small English model fills about 70 MB."""
MOST_FILES = 200
_BLOCK = 1 << 20
_SAFE = re.compile(r"[A-Za-z0-9_+-][A-Za-z0-9._+-]*")
"""Names of models' files; this admits no "..", drive, root, backslash or hidden file."""


def unpack(
    archive: Path,
    into: Path,
    top: str,
    *,
    most_bytes: int = MOST_BYTES,
    most_files: int = MOST_FILES,
) -> Path:
    """Unpacks a ZIP whose one folder is ``top`` below ``into``; returns that folder.

    Raises ModelError, possibly with a part unpacked, and OSError where it can't be written.
    """
    try:
        with ZipFile(archive) as packed:
            members = packed.infolist()
            if len(members) > most_files:
                raise _refused(archive, f"holds {len(members)} files, more than {most_files}")
            if sum(member.file_size for member in members) > most_bytes:
                raise _refused(archive, f"unpacks to more than {most_bytes // 1_000_000} MB")
            _check_names(archive, members, top)
            for member in members:
                if not member.is_dir():
                    _write(packed, member, into / member.filename)
    except (BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise _refused(archive, f"is no sound ZIP archive ({error})") from error
    return into / top


def _check_names(archive: Path, members: list[ZipInfo], top: str) -> None:
    taken: set[str] = set()
    for member in members:
        name = member.filename.removesuffix("/")
        if not all(_SAFE.fullmatch(part) for part in name.split("/")):
            raise _refused(archive, f"holds a file by the name {member.filename!r}")
        if name.split("/")[0] != top or (name == top and not member.is_dir()):
            raise _refused(archive, f"holds {name!r}, which lies outside the folder {top!r}")
        if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise _refused(archive, f"holds {name!r}, a link or device")
        if name.lower() in taken:
            raise _refused(archive, f"holds {name!r} twice")
        taken.add(name.lower())


def _write(packed: ZipFile, member: ZipInfo, target: Path) -> None:
    """The library stops at the size that was declared, and checks the sum (CRC)."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with packed.open(member) as source, target.open("xb") as file:
        while block := source.read(_BLOCK):
            file.write(block)


def _refused(archive: Path, why: str) -> ModelError:
    return ModelError(
        f"{archive.name} {why}. It was refused, and nothing was changed. Don't unpack it by hand: "
        "ask the project that it came from."
    )
