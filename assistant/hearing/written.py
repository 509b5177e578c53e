"""Written English, as an open-vocabulary recogniser prints it, turned into heard words.

Figures stay figures ("102", "-65", "12.5"): the parser takes them as typed ones. What differs from
typing is put right here: a recogniser writes "1,200" for twelve hundred, and a dash before a
figure for "minus" even where a space parts them. What is neither a word nor a plain figure ("2nd",
"10:30") stays as it is, for the parser to refuse.
"""

from __future__ import annotations

import re

_SYMBOLS = {
    "%": "percent",
    "ω": "ohms",  # the ohm sign and the capital omega, both in lower case
    "°": "degrees",
    "½": "and a half",
    "¼": "and a quarter",
    "&": "and",
    "+": "plus",
}
_UNITS = {"v": "volts", "a": "amps", "mm": "millimetres", "m": "metres", "mv": "millivolts"}
_DASHES = str.maketrans({"−": "-", "–": "-", "—": " ", "’": "'", "‘": "'"})
_THOUSANDS = re.compile(r"(?<![\d.,])\d{1,3}(?:,\d{3})+(?![\d,])")
_COMMA = re.compile(r",(?!\d)|(?<!\d),")
_JOINED = re.compile(r"(?<=[a-z0-9])-(?=[a-z0-9])")
_APART = re.compile(r"(?<!\S)-\s+(?=\.?\d)")
_GLUED = re.compile(r"(?<![^\s-])(\d+(?:\.\d+)?|\.\d+)(?=(?:mm|mv|m|v|a)(?![\w]))")
_EDGES = "\"'“”()[]{}.,;:!?…-*"


def heard_words(text: str) -> tuple[str, ...]:
    """Lower-case words and figures without punctuation.

    >>> heard_words("Boundary rear -65, battery 12.50 V.")
    ('boundary', 'rear', '-65', 'battery', '12.50', 'volts')
    >>> heard_words("One-oh-two, 1,200mm: 99%")
    ('one', 'oh', 'two', '1200', 'millimetres', '99', 'percent')
    """
    text = text.lower().translate(_DASHES)
    for symbol, word in _SYMBOLS.items():
        text = text.replace(symbol, f" {word} ")
    text = _THOUSANDS.sub(lambda found: found[0].replace(",", ""), text)
    text = _COMMA.sub(" ", text)
    text = _APART.sub("-", _JOINED.sub(" ", text))
    text = _GLUED.sub(r"\1 ", text)
    words: list[str] = []
    for token in text.split():
        word = _bare(token)
        if words and words[-1][-1].isdigit():
            word = _UNITS.get(word, word)
        if word:
            words.append(word)
    return tuple(words)


def _bare(token: str) -> str:
    """Without punctuation at its edges, but with the sign and the point of a figure."""
    bare = token.rstrip(_EDGES)
    return bare if re.match(r"-?\.?\d", bare) else bare.lstrip(_EDGES)
