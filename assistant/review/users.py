"""Named users and their passwords, for pages that are served beyond this machine.

The file holds scrypt hashes (RFC 7914) and nothing else; it is made by
``benchcall review --add-user NAME``.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
import os
import re
import secrets
from pathlib import Path
from threading import Lock

from assistant.errors import ServingError

FILE = "review_users.json"
SHORTEST = 12
LONGEST = 200
N, R, P = 2**15, 8, 3
"""OWASP Password Storage Cheat Sheet (from memory): N = 2^15, r = 8, p = 3; 32 MiB a try."""
_MEMORY = 64 * 1024 * 1024
_NAME = re.compile(r"[\w .'-]{1,40}")
_one_at_a_time = Lock()
"""A flood of tries must not take 32 MiB each."""


class Users:
    """The users in ``home``. Raises ServingError for a file that can't be read."""

    def __init__(self, home: Path) -> None:
        self.path = home / FILE
        self._hashes: dict[str, str] = {}
        if not self.path.exists():
            return
        try:
            told = json.loads(self.path.read_text("utf-8"))
            self._hashes = {str(name): str(kept) for name, kept in told.items()}
        except (OSError, ValueError, AttributeError) as error:
            raise ServingError(
                f"{self.path} can't be read ({error}). Remove it and add its users again: "
                "benchcall review --add-user NAME"
            ) from error

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(sorted(self._hashes))

    def add(self, name: str, password: str) -> None:
        """Add a user or change a password. Raises ServingError for a name or password that won't
        do."""
        name = name.strip()
        if _NAME.fullmatch(name) is None:
            raise ServingError(
                "Choose a name of up to 40 letters, figures, spaces, points or hyphens, as it "
                "shall stand under corrections."
            )
        if not SHORTEST <= len(password) <= LONGEST:
            raise ServingError(
                f"Choose a password of {SHORTEST} to {LONGEST} characters: four words of your "
                "own will do."
            )
        salt = secrets.token_bytes(16)
        self._hashes[name] = f"{_b64(salt)}${_b64(_scrypt(password, salt))}"
        self._write()

    def proves(self, name: str, password: str) -> bool:
        """Whether this is the user's password. An unknown name takes as long as a known one."""
        kept = self._hashes.get(name.strip(), f"{_b64(bytes(16))}${_b64(bytes(32))}")
        try:
            salt, expected = (base64.b64decode(part, validate=True) for part in kept.split("$"))
        except (ValueError, binascii.Error):
            return False
        given = _scrypt(password[: LONGEST + 1], salt)
        return hmac.compare_digest(given, expected) and name.strip() in self._hashes

    def _write(self) -> None:
        part = self.path.with_suffix(".part")
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(self._hashes, file, indent=1, ensure_ascii=False)
            part.replace(self.path)
        except OSError as error:
            raise ServingError(
                f"{self.path} can't be written ({error.strerror}). Give yourself the right to "
                "write there, or set BENCHCALL_HOME to another folder."
            ) from error


def _scrypt(password: str, salt: bytes) -> bytes:
    with _one_at_a_time:
        return hashlib.scrypt(
            password.encode("utf-8", "surrogatepass"),
            salt=salt,
            n=N,
            r=R,
            p=P,
            maxmem=_MEMORY,
            dklen=32,
        )


def _b64(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")
