"""One entry of a journal, and its line: canonical JSON (RFC 8785) sealed with its own SHA-256.

The seal is the SHA-256 of the canonical JSON of the other five fields, and ``previous`` repeats
the seal of the entry before. "sha256" sorts last, so a line is checked on its bytes as they lie,
and anyone can check it with any RFC 8785 library by leaving that one field out.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, NoReturn, get_args

import rfc8785

Kind = Literal[
    "opened",
    "reading",
    "observation",
    "context",
    "command",
    "note",
    "not_understood",
    "withdrawal",
    "signed_off",
    "closed",
]
KINDS: frozenset[str] = frozenset(get_args(Kind))

NOTHING_BEFORE = "0" * 64
"""``previous`` of the first entry."""

_SEAL = b',"sha256":"'
_SEAL_LENGTH = len(_SEAL) + 64 + len(b'"}')


@dataclass(frozen=True, slots=True)
class Entry:
    """``seq`` counts from 1 (it is also the line's number), ``at`` is RFC 3339 in UTC, ``body``
    holds JSON values only, ``previous`` and ``sha256`` are 64 hex digits."""

    seq: int
    at: str
    kind: str
    body: Mapping[str, Any]
    previous: str
    sha256: str

    @property
    def id(self) -> str:
        """The name by which readings, corrections and findings cite this entry."""
        return str(self.seq)


def encode(seq: int, at: str, kind: Kind, body: Mapping[str, Any], previous: str) -> bytes:
    """The sealed line, without its line feed.

    Raises ValueError for a body that JSON can't hold: NaN, infinity, lone surrogates, whole
    numbers beyond 2^53.
    """
    fields: dict[str, Any] = {
        "at": at,
        "body": dict(body),
        "kind": kind,
        "previous": previous,
        "seq": seq,
    }
    sealed = rfc8785.dumps(fields)
    return sealed[:-1] + _SEAL + hashlib.sha256(sealed).hexdigest().encode() + b'"}'


def decode(line: bytes) -> Entry:
    """The entry of a line without its line feed; raises ValueError saying what is wrong with it."""
    sealed = line[:-_SEAL_LENGTH] + b"}"
    seal = hashlib.sha256(sealed).hexdigest()
    if line[-_SEAL_LENGTH:] != _SEAL + seal.encode() + b'"}':
        raise ValueError("its checksum does not fit its words")
    try:
        fields = json.loads(sealed, parse_constant=_refuse)
        entry = Entry(**fields, sha256=seal)
    except (ValueError, TypeError, RecursionError) as error:
        raise ValueError("it is sealed, but is not an entry") from error
    types = [type(getattr(entry, name)) for name in ("seq", "at", "kind", "body", "previous")]
    if types != [int, str, str, dict, str] or entry.kind not in KINDS:
        raise ValueError("it is sealed, but is not an entry that this version knows")
    return entry


def _refuse(constant: str) -> NoReturn:
    raise ValueError(f"{constant} is not JSON")
