"""Numbers in words become decimal strings with the resolution that was said, or a refusal.

"minus twelve point five zero" is "-12.50"; "twelve fifty" is refused, since it has two meanings.
Number words are read exactly: nothing here is matched by likeness.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from assistant.numbers.integers import MOST_FIGURES, Figure, Refusal, figures_of, whole_number
from assistant.profile.schema import NumberWords

TYPED = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")


class Numbers:
    """Reads the number words of ``grammars/spoken.toml``."""

    def __init__(self, words: NumberWords) -> None:
        self._words = words
        self._figures = figures_of(words)
        self._fractions = {tuple(said.split()): part for said, part in words.fractions.items()}
        self._minus, self._point = frozenset(words.minus), frozenset(words.point)
        self._joiner, self._article = frozenset(words.joiner), frozenset(words.article)
        self._scales = frozenset(words.scales)
        self._inside = self._joiner | self._article
        fraction_words = {word for said in self._fractions for word in said}
        self._starts = frozenset({*words.digits, *words.teens, *words.tens, *words.scales})
        self._starts |= self._point | frozenset(words.repeat)
        self.vocabulary = self._starts | self._minus | self._inside | fraction_words
        self._fraction_words = fraction_words
        self._inside_words = self._starts | fraction_words
        tables = (words.digits, words.teens, words.tens, words.scales)
        first_digit = next(word for word, digit in words.digits.items() if digit)
        self._more: list[tuple[str, ...]] = [(next(iter(table)),) for table in tables if table]
        self._more += [(first_digit,), *((point, first_digit) for point in words.point[:1])]
        self.read = lru_cache(maxsize=4096)(self._read)

    def run(self, words: Sequence[str], start: int) -> int:
        """Where the number words that begin at ``start`` end; ``start`` itself if none do."""
        end = start
        if self._at(words, end) in self._minus:
            end += 1
        if not self._begins(words, end):
            return start
        while end < len(words):
            if words[end] in self._inside_words or TYPED.fullmatch(words[end]):
                end += 1
            elif (step := self._joined(words, end)) > end:
                end = step
            elif words[end] in self._joiner and end + 1 == len(words):
                end += 1  # broken off: "one hundred and" is not yet a number
            elif words[end] in self._minus and self._begins(words, end + 1):
                end += 1
            else:
                break
        return end

    def may_go_on(self, said: tuple[str, ...], largest: float, decimals: int) -> bool:
        """Whether one more word could make another number of at most ``largest`` (without its
        sign) and ``decimals``: "fourteen" may become "fourteen point five"."""
        now = self.read(said)
        nought = isinstance(now, str) and not set(now) - {"0"}
        for more in self._more:
            if nought and more[0] not in self._point:
                continue
            longer = self.read((*said, *more))
            if isinstance(longer, Refusal):
                continue
            figures = longer.partition(".")[2]
            if len(figures) <= decimals and abs(float(longer)) <= largest:
                return True
        return False

    def is_sign(self, word: str) -> bool:
        return word in self._minus

    def _at(self, words: Sequence[str], index: int) -> str:
        return words[index] if index < len(words) else ""

    def _begins(self, words: Sequence[str], index: int) -> bool:
        word = self._at(words, index)
        if word in self._article:
            return self._at(words, index + 1) in self._scales
        return word in self._starts or TYPED.fullmatch(word) is not None

    def _joined(self, words: Sequence[str], index: int) -> int:
        """Past "and", "a", "and a", "and a half", where more of a number follows."""
        end = index
        if self._at(words, end) in self._joiner:
            end += 1
        if self._at(words, end) in self._article:
            end += 1
        if end == index:
            return index
        if self._at(words, end) in self._starts:
            return end
        return end + 1 if self._at(words, end) in self._fraction_words else index

    def _read(self, said: tuple[str, ...]) -> str | Refusal:
        """The whole of ``said`` as one number."""
        words, sign = list(said), ""
        if words and words[0] in self._minus:
            words, sign = words[1:], "-"
        if any(word in self._minus for word in words):
            return Refusal("two numbers were said after one label")
        if any(word not in self._figures and TYPED.fullmatch(word) for word in words):
            return _typed(words, sign)
        number = self._unsigned(words)
        if isinstance(number, Refusal):
            return number
        return _signed(sign, number)

    def _unsigned(self, words: list[str]) -> str | Refusal:
        points = [index for index, word in enumerate(words) if word in self._point]
        if len(points) > 1:
            return Refusal("the point was said twice in one number")
        if not points:
            whole, fraction = self._split_fraction(words)
            number = self._whole(whole)
            if isinstance(number, Refusal):
                return number
            if fraction and whole[-1] in self._scales:
                return Refusal(f"“{' '.join(words)}” has two meanings: say the point")
            return f"{number}.{fraction}" if fraction else str(number)
        whole = words[: points[0]]
        number = self._whole(whole, beside_point=True) if whole else 0
        if isinstance(number, Refusal):
            return number
        decimals = self._decimals(words[points[0] + 1 :])
        return decimals if isinstance(decimals, Refusal) else f"{number}.{decimals}"

    def _split_fraction(self, words: list[str]) -> tuple[list[str], str]:
        """The words before "and a half", and the fraction as decimals ("" where there is none)."""
        for said, part in self._fractions.items():
            if tuple(words[-len(said) :]) != said:
                continue
            before = words[: -len(said)]
            if before and before[-1] in self._article:
                before = before[:-1]
            if len(before) > 1 and before[-1] in self._joiner:
                return before[:-1], part
        return words, ""

    def _whole(self, words: list[str], beside_point: bool = False) -> int | Refusal:
        if len(words) == 1 and words[0] in self._words.never_alone and not beside_point:
            return Refusal(f"“{words[0]}” alone is not a number: say zero")
        figures = self._repeated(words)
        return figures if isinstance(figures, Refusal) else whole_number(words, figures)

    def _decimals(self, words: list[str]) -> str | Refusal:
        if not words:
            return Refusal("nothing was said after the point")
        figures = self._repeated(words)
        if isinstance(figures, Refusal):
            return figures
        kinds = "".join(figure.kind for figure in figures)
        if not set(kinds) - {"d", "0"} and len(kinds) <= MOST_FIGURES:
            return "".join(str(figure.value) for figure in figures)
        if kinds in {"t", "y", "yd"}:
            return str(sum(figure.value for figure in figures))
        return Refusal("the figures after the point are not clear: say them digit by digit")

    def _repeated(self, words: list[str]) -> list[Figure] | Refusal:
        """The words as figures, with "double four" written out."""
        figures: list[Figure] = []
        times = 1
        for word in words:
            if word in self._words.repeat:
                if times > 1:
                    return Refusal(f"“{word}” has no digit after it")
                times = self._words.repeat[word]
                continue
            figure = self._figures.get(word)
            if figure is None:
                return Refusal(f"“{word}” does not belong in a number here")
            if times > 1 and figure.kind not in "d0":
                return Refusal(f"“{word}” can't be doubled: say it digit by digit")
            figures += [figure] * times
            times = 1
        return figures if times == 1 else Refusal(f"“{words[-1]}” has no digit after it")


def _typed(words: list[str], sign: str) -> str | Refusal:
    """A number in figures stands for itself; beside other number words it is not one number."""
    if len(words) > 1 or (sign and words[0][0] in "+-"):
        return Refusal("two numbers were said after one label")
    number = words[0].removeprefix("+")
    if number.startswith("-"):
        sign, number = "-", number[1:]
    whole, point, decimals = number.partition(".")
    if len(whole) > MOST_FIGURES or len(decimals) > MOST_FIGURES:
        return Refusal(f"more than {MOST_FIGURES} figures in one number")
    return _signed(sign, f"{int(whole or '0')}{point}{decimals}")


def _signed(sign: str, number: str) -> str:
    """Nought has no sign."""
    return sign + number if set(number) - {"0", "."} else number
