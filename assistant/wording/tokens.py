"""Heard words become tokens to match: lower case, no punctuation, hyphens and units taken apart.

What was heard stays as it was; a token knows which heard word it came from.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.hearing.heard import HeardWord
from assistant.numbers.in_words import TYPED

_EDGES = '.,;:!?"()[]“”…'
_MINUS = str.maketrans({"−": "-", "–": "-", "’": "'"})
_FIGURES_AND_UNIT = re.compile(r"([-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))([^0-9.,-]+[^0-9]*)")
_PLAIN = re.compile(r"[a-z']+")


class Token(NamedTuple):
    """``text`` is what is matched, ``place`` that of its heard word in the utterance."""

    text: str
    place: int


def tokens(words: Sequence[HeardWord], symbols: Mapping[str, str]) -> list[Token]:
    """``symbols`` maps written units ("v") to their spoken form; they count only after figures."""
    found: list[Token] = []
    for place, word in enumerate(words):
        text = word.text
        if _PLAIN.fullmatch(text) and not (found and found[-1].text[-1].isdigit()):
            found.append(Token(text, place))
            continue
        for part in text.lower().translate(_MINUS).split():
            found += [Token(text, place) for text in _parts(part, symbols, found)]
    return found


def _parts(text: str, symbols: Mapping[str, str], before: Sequence[Token]) -> list[str]:
    text = text.rstrip(_EDGES).lstrip(_EDGES.replace(".", ""))
    if not re.match(r"\.+\d", text):
        text = text.lstrip(".")
    if not text:
        return []
    if text in symbols and before and TYPED.fullmatch(before[-1].text):
        return symbols[text].split()
    if (glued := _FIGURES_AND_UNIT.fullmatch(text)) and glued[2] in symbols:
        return [glued[1], *symbols[glued[2]].split()]
    if TYPED.fullmatch(text) or any(letter.isdigit() for letter in text):
        return [part for part in text.split(",") if part]
    return [part for part in re.split(r"[-,/]", text) if part] or [text]
