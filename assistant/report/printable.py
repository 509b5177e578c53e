"""Text that was heard or typed, made harmless to look at.

A note may hold anything: escape sequences that repaint a terminal, marks that turn the direction
of writing, halves of characters. None of them can be meant by a technician, so each is replaced
by a visible mark, and nothing is dropped in silence.
"""

from __future__ import annotations

import unicodedata

_UNPRINTABLE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_MARK = "\N{REPLACEMENT CHARACTER}"


def printable(text: str) -> str:
    """The text on one line, without a character that controls anything.

    >>> printable("seal\\x1b[2J tired\\n")
    'seal�[2J tired '
    """
    return "".join(_harmless(c) for c in text)


def _harmless(c: str) -> str:
    if c in "\n\r\t":
        return " "
    return _MARK if unicodedata.category(c) in _UNPRINTABLE else c
