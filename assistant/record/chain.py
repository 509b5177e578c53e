"""Reads the bytes of a journal and says which entries in them can be trusted, and why not the rest.

Every line must carry its own checksum, the next number, and the seal of the line before. A last
line without a line feed was never acknowledged: a crash cut it off, and it is kept apart as
``tail``. Anything else that is wrong is damage, and nothing is guessed from it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.errors import RecordError
from assistant.record.entry import NOTHING_BEFORE, Entry, decode

_SEALED_END = re.compile(rb',"sha256":"[0-9a-f]{64}"\}')


@dataclass(frozen=True, slots=True)
class Damage:
    """``line`` counts from 1; ``later`` are the entries after it that are whole by themselves."""

    line: int
    why: str
    later: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class Chain:
    """``entries`` are verified, ``length`` is the bytes they fill, ``tail`` what lies after them:
    the torn last line, or all that follows the damage. ``unended``: only the line feed of the
    last entry is lacking."""

    entries: tuple[Entry, ...]
    length: int
    tail: bytes = b""
    unended: bool = False
    damage: Damage | None = None

    def trusted(self, name: str) -> tuple[Entry, ...]:
        """The entries of a journal that is whole but for a torn last line.

        Raises RecordError naming the line and what can still be read.
        """
        if self.damage is not None:
            whole = f"lines 1 to {len(self.entries)}" if self.entries else "no line before it"
            raise RecordError(
                f"The journal {name} is damaged at line {self.damage.line}: {self.damage.why}. "
                f"Still whole: {whole}, and {len(self.damage.later)} after it. Nothing was "
                "changed. Copy the file before doing anything else, and restore it from a backup; "
                "go on in a new session."
            )
        if not self.entries:
            raise RecordError(
                f"The journal {name} holds no entry: the session broke off before it was opened. "
                "Nothing was recorded in it; open a new session."
            )
        return self.entries


def read_chain(data: bytes) -> Chain:
    """Never raises: what can't be trusted is told in ``tail`` and ``damage``."""
    entries: list[Entry] = []
    length = 0
    lines = data.split(b"\n")
    tail = lines.pop()
    for number, line in enumerate(lines, start=1):
        try:
            entries.append(_linked(line, entries))
        except ValueError as error:
            later = _whole([*lines[number:], tail])
            return Chain(
                tuple(entries), length, data[length:], damage=Damage(number, str(error), later)
            )
        length += len(line) + 1
    return _end(entries, length, tail)


def _linked(line: bytes, before: list[Entry]) -> Entry:
    entry = decode(line)
    if entry.seq != len(before) + 1:
        raise ValueError(f"it is numbered {entry.seq}; a line is missing, doubled or moved")
    if entry.previous != (before[-1].sha256 if before else NOTHING_BEFORE):
        raise ValueError("it does not follow from the line before; one of the two was exchanged")
    if (entry.kind == "opened") != (entry.seq == 1):
        raise ValueError("a journal has one opening, as its first line")
    return entry


def _end(entries: list[Entry], length: int, tail: bytes) -> Chain:
    """A tail that is whole but for its line feed is an entry; one that is whole and has something
    after it lost its line feed to damage, for a crash only ever cuts."""
    for match in _SEALED_END.finditer(tail):
        try:
            entry = _linked(tail[: match.end()], entries)
        except ValueError:
            continue
        if match.end() == len(tail):
            return Chain((*entries, entry), length + len(tail), unended=True)
        damage = Damage(entry.seq, "its line feed was altered", (entry,))
        return Chain(tuple(entries), length, tail, damage=damage)
    return Chain(tuple(entries), length, tail)


def _whole(lines: list[bytes]) -> tuple[Entry, ...]:
    found = []
    for line in lines:
        try:
            found.append(decode(line))
        except ValueError:
            continue
    return tuple(found)
