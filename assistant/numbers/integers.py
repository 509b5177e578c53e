"""Whole numbers in words: a table of the forms that have one meaning, and of those that don't.

Words are first turned into one letter each, so that a form is a pattern over letters:

    d  one … nine        0  zero, oh        t  ten … nineteen      y  twenty … ninety
    h  hundred           k  thousand        a  a ("a hundred")     j  and

A run of words that fits no form is refused with a reason, never guessed at.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assistant.profile.schema import NumberWords

MOST_FIGURES = 6


@dataclass(frozen=True, slots=True)
class Refusal:
    """Words that are no number; ``reason`` is for the user."""

    reason: str


@dataclass(frozen=True, slots=True)
class Figure:
    """One number word: its letter (see above) and its value."""

    kind: str
    value: int


def figures_of(words: NumberWords) -> dict[str, Figure]:
    """Every word that can stand in a whole number, repeats ("double") left out. Single figures
    count as words: some recognisers write "one oh two" as "1 0 2"."""
    figures = {str(digit): Figure("d" if digit else "0", digit) for digit in range(10)}
    figures |= {word: Figure("d" if digit else "0", digit) for word, digit in words.digits.items()}
    figures |= {word: Figure("t", value) for word, value in words.teens.items()}
    figures |= {word: Figure("y", value) for word, value in words.tens.items()}
    kinds = {100: "h", 1000: "k"}
    figures |= {word: Figure(kinds[scale], scale) for word, scale in words.scales.items()}
    figures |= {word: Figure("a", 1) for word in words.article}
    figures |= {word: Figure("j", 0) for word in words.joiner}
    return figures


def _digits(figures: Sequence[Figure]) -> int:
    return int("".join(str(figure.value) for figure in figures))


def _digit_and_pair(figures: Sequence[Figure]) -> int:
    return figures[0].value * 100 + sum(figure.value for figure in figures[1:])


def _counted(figures: Sequence[Figure]) -> int:
    total = current = 0
    for figure in figures:
        if figure.kind == "h":
            current *= 100
        elif figure.kind == "k":
            total, current = current * 1000, 0
        else:
            current += figure.value
    return total + current


def _thousands_by_digits(figures: Sequence[Figure]) -> int:
    return _digits(figures[:-1]) * 1000


_UNDER_100 = r"(?:d|t|yd?)"
_HUNDREDS = rf"(?:dh(?:j?{_UNDER_100})?)"

_FORMS: tuple[tuple[str, Callable[[Sequence[Figure]], int]], ...] = (
    # one oh two · zero eight zero
    (r"[d0]+", _digits),
    # sixty five · fourteen
    (_UNDER_100, _counted),
    # one twenty · one twenty five · two thirty seven · one fourteen
    (r"d(?:t|yd?)", _digit_and_pair),
    # a hundred · two hundred and five · two hundred five · twelve hundred · ninety nine hundred
    (rf"(?:a|d|t|yd?)h(?:j?{_UNDER_100})?", _counted),
    # a thousand · one thousand two hundred · one thousand and five · twelve thousand
    (rf"(?:a|{_UNDER_100}|{_HUNDREDS})k(?:j?{_UNDER_100}|{_HUNDREDS})?", _counted),
    # one two thousand
    (r"d[d0]{1,2}k", _thousands_by_digits),
)

_TWO_MEANINGS: tuple[tuple[str, str], ...] = (
    (
        r"(?:t|yd?)(?:t|yd?|0d?)",
        "figures in two pairs have several meanings (twelve fifty: 1250 or 12.50): "
        "say it digit by digit",
    ),
    (r"[hk].*", "what is counted in {first}s was not said: say “one {first}”"),
    (r".*j", "nothing was said after “{last}”"),
    (r".*a", "nothing was said after “{last}”"),
)

_NO_NUMBER = "“{all}” is not one number: say it digit by digit"

_COMPILED = tuple((re.compile(pattern), work) for pattern, work in _FORMS)
_REFUSED = tuple((re.compile(pattern), reason) for pattern, reason in _TWO_MEANINGS)


def whole_number(words: Sequence[str], figures: Sequence[Figure]) -> int | Refusal:
    """The number that ``figures`` make; ``words`` are what was said, for the reason."""
    if not figures:
        return Refusal("a number was begun and not said")
    kinds = "".join(figure.kind for figure in figures)
    if len(kinds) > MOST_FIGURES and not set(kinds) - {"d", "0"}:
        return Refusal(f"more than {MOST_FIGURES} figures in one number")
    for pattern, work in _COMPILED:
        if pattern.fullmatch(kinds):
            return work(figures)
    for pattern, reason in _REFUSED:
        if pattern.fullmatch(kinds):
            return Refusal(reason.format(first=words[0], last=words[-1], all=" ".join(words)))
    return Refusal(_NO_NUMBER.format(all=" ".join(words)))
