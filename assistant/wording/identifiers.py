"""Unit numbers, serials and codes: letters by name or alphabet, figures one by one or in pairs.

"alfa one two" is "A12", "forty seven" is "47", "zero four seven" is "047": an identifier is no
quantity, so its figures are kept as said and nothing is added up but tens and units.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.numbers.integers import figures_of
from assistant.profile.schema import SpokenWords

_SPOKEN_AS_FIGURES = frozenset("d0ty")


class Identifiers:
    def __init__(self, spoken: SpokenWords) -> None:
        self._letters = {tuple(said.split()): letter for said, letter in spoken.letters.items()}
        self._longest = max((len(said) for said in self._letters), default=0)
        self._repeat = spoken.numbers.repeat
        self._figures = {
            word: figure
            for word, figure in figures_of(spoken.numbers).items()
            if figure.kind in _SPOKEN_AS_FIGURES
        }
        self._no_figure = frozenset({*spoken.numbers.scales, *spoken.numbers.point})
        self.vocabulary = frozenset(word for said in self._letters for word in said)

    def read(self, texts: Sequence[str], start: int) -> tuple[str, int]:
        """The identifier that begins at ``start``, and where it ends; ("", start) for none, also
        where it goes on as a number ("one hundred")."""
        parts: list[str] = []
        index = start
        while index < len(texts):
            part, after = self._part(texts, index)
            if not part:
                break
            parts.append(part)
            index = after
        if index < len(texts) and texts[index] in self._no_figure:
            return "", start
        return "".join(parts), index

    def _part(self, texts: Sequence[str], index: int) -> tuple[str, int]:
        text, following = texts[index], texts[index + 1] if index + 1 < len(texts) else ""
        if any(letter.isdigit() for letter in text):
            return text.upper(), index + 1
        if text in self._repeat and (figure := self._figures.get(following)) and figure.value < 10:
            return str(figure.value) * self._repeat[text], index + 2
        if figure := self._figures.get(text):
            if figure.kind == "y" and (unit := self._figures.get(following)) and unit.kind == "d":
                return str(figure.value + unit.value), index + 2
            return str(figure.value), index + 1
        for length in range(self._longest, 0, -1):
            if letter := self._letters.get(tuple(texts[index : index + length])):
                return letter, index + length
        return "", index
