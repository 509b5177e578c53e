"""A value said digit by digit, the way radiotelephony says figures, so that no digit can hide.

"Minus six five" and "minus six four" differ in one clear word, "sixty-five" and "sixty-four" in a
syllable. The decimal separator is said "point": it is what the technician says, and a one-syllable
word that no digit resembles. ("Decimal", the word of CAP 413, is understood when heard, see
grammars/spoken.toml.) Digits are said in plain English, not in the spelling of CAP 413 ("tree",
"fower"), which a listener at the bench has not been taught.

num2words is not used: it loses the sign of −0.5 and the last zero of 12.50, and either would read
back another value than was heard. tests/speaking/test_digits.py holds both.
"""

from __future__ import annotations

import re

from assistant.errors import SpeechError
from assistant.wording.statement import Value

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
POINT = "point"
MINUS = "minus"
NO_READING = "no reading"
OFF_SCALE = "off scale"

# Figures of ICAO Annex 10 / CAP 413; the spelling alphabet as quoted from the ITU Radio
# Regulations, Appendix 14.
_LETTERS = {
    "a": "alfa",
    "b": "bravo",
    "c": "charlie",
    "d": "delta",
    "e": "echo",
    "f": "foxtrot",
    "g": "golf",
    "h": "hotel",
    "i": "india",
    "j": "juliett",
    "k": "kilo",
    "l": "lima",
    "m": "mike",
    "n": "november",
    "o": "oscar",
    "p": "papa",
    "q": "quebec",
    "r": "romeo",
    "s": "sierra",
    "t": "tango",
    "u": "uniform",
    "v": "victor",
    "w": "whiskey",
    "x": "x-ray",
    "y": "yankee",
    "z": "zulu",
}

_NUMBER = re.compile(r"[-−]?\d+(?:\.\d+)?", re.ASCII)
_IN_TEXT = re.compile(r"(?<![\w.])[-−]?\d+(?:\.\d+)?(?!\w|\.\d)", re.ASCII)


def figures(number: str) -> str:
    """The words for a decimal string: every digit that was said, the sign, nothing rounded.

    Raises SpeechError for anything that is not a plain decimal.

    >>> figures("-65"), figures("12.50")
    ('minus six five', 'one two point five zero')
    """
    if _NUMBER.fullmatch(number) is None:
        raise SpeechError(f"{number!r} is not a decimal number, so it can't be read back.")
    return " ".join(_character(c) for c in number)


def value_words(value: Value, unit: str = "") -> str:
    """The words for a value with its unit's word; a reading that wasn't one has no unit."""
    if value.state == "no_reading":
        return NO_READING
    if value.state == "off_scale" or value.number is None:
        return OFF_SCALE
    return f"{figures(value.number)} {unit}".rstrip()


def spell(identifier: str) -> str:
    """A unit or serial number, character by character: ``47B`` is "four seven bravo".

    Letters are said by the spelling alphabet, since "B", "D" and "E" sound alike. Anything else
    (a dash, a space) is left out.
    """
    known = (c for c in identifier.lower() if c in "0123456789" or c in _LETTERS)
    return " ".join(_LETTERS.get(c) or _character(c) for c in known)


def figures_in(text: str) -> str:
    """A sentence with the numbers in it turned into figures, the rest left as it is."""
    return _IN_TEXT.sub(lambda match: figures(match.group()), text)


def _character(c: str) -> str:
    if c in "-−":
        return MINUS
    return POINT if c == "." else DIGITS[int(c)]
