"""How words are spelled, for the ear that writes letters: the counterpart of phones.py."""

from __future__ import annotations

import re

LETTERS = "abcdefghijklmnopqrstuvwxyz'"
BOUNDARY = len(LETTERS) + 1
CLASSES = len(LETTERS) + 2
"""The model's classes: blank, the letters in their order, the end of a word."""

_SPELLINGS = {"o": "oh", "ok": "okay"}


class Speller:
    """Every word is written as it is spelled; where English has two ways, in one of them."""

    boundary = BOUNDARY

    def classes(self, word: str) -> tuple[tuple[int, ...], ...]:
        """One way only; characters that are no letters are dropped."""
        spelled = _SPELLINGS.get(word.lower(), word.lower())
        spelled = re.sub("(?<=met)re(?=s?$)", "er", spelled)
        return ((*(LETTERS.index(c) + 1 for c in spelled if c in LETTERS), BOUNDARY),)
