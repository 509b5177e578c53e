"""Spends bytes on choices, so that one change of a byte changes one choice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Chance:
    """Once the bytes are spent, every choice is the first one."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0

    def __bool__(self) -> bool:
        """Whether there are bytes left."""
        return self._at < len(self._data)

    def number(self, below: int) -> int:
        size = 1 if below <= 0x100 else 2 if below <= 0x10000 else 4
        piece = self._data[self._at : self._at + size]
        self._at += size
        return int.from_bytes(piece, "big") % below

    def one_of(self, things: Sequence[T]) -> T:
        return things[self.number(len(things))]

    def raw(self, most: int) -> bytes:
        """Up to ``most`` bytes as they are."""
        length = self.number(most + 1)
        piece = self._data[self._at : self._at + length]
        self._at += length
        return piece

    def text(self, most: int) -> str:
        """Any text, lone surrogates among it."""
        return self.raw(most).decode("utf-8", "surrogateescape")
