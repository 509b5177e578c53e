"""The spoken numbers of up to four digits as a piece of a word graph.

The forms are those that ``numbers.in_words`` understands: counted ("one hundred and two"), digit by
digit ("one oh two", "double four"), a digit and a pair ("one twenty five"), in hundreds ("twelve
hundred"), decimals digit by digit or as one pair, and halves and quarters.
"""

from __future__ import annotations

from itertools import pairwise

from assistant.profile.graph_builder import Builder
from assistant.profile.schema import NumberWords

DIGITS = 4


def add_number(
    graph: Builder, numbers: NumberWords, source: int, target: int, decimals: int
) -> None:
    """All numbers from state ``source`` to ``target``, signed or not, with at most ``decimals``
    (up to 2) figures after the point; 0 leaves point and fractions out."""
    unsigned, counted, scaled, lone = (graph.state() for _ in range(4))
    graph.arc(source, "", unsigned)
    graph.phrases(source, numbers.minus, unsigned)
    _Integers(graph, numbers).add(unsigned, counted, scaled, lone)
    graph.arc(counted, "", target)
    graph.arc(scaled, "", target)
    if decimals:
        point = graph.state()
        for whole in (unsigned, counted, scaled, lone):
            graph.phrases(whole, numbers.point, point)
        _add_decimals(graph, numbers, point, target, min(decimals, 2))
        _add_fractions(graph, numbers, counted, target)


def add_pairs(graph: Builder, numbers: NumberWords, source: int, target: int) -> None:
    """Two figures said as one: "ten", "nineteen", "twenty", "twenty one"."""
    tens = graph.state()
    graph.phrases(source, numbers.teens, target)
    graph.phrases(source, numbers.tens, tens)
    graph.arc(tens, "", target)
    graph.phrases(tens, nonzero(numbers), target)


def nonzero(numbers: NumberWords) -> list[str]:
    return [word for word, digit in numbers.digits.items() if digit]


class _Integers:
    """``counted`` is where a number ends that a fraction may follow, ``scaled`` one that ends
    with its hundreds or thousands ("a hundred and a half" has two meanings), ``lone`` a first
    figure that is a number only with more after it ("oh")."""

    def __init__(self, graph: Builder, numbers: NumberWords) -> None:
        self.graph = graph
        self.numbers = numbers
        self.hundred = [word for word, value in numbers.scales.items() if value == 100]
        self.thousand = [word for word, value in numbers.scales.items() if value == 1000]

    def add(self, source: int, counted: int, scaled: int, lone: int) -> None:
        graph, numbers = self.graph, self.numbers
        rest = self._rest(counted)
        hundreds, thousands, first = graph.state(), graph.state(), graph.state()
        below_hundred = graph.state()
        graph.arc(hundreds, "", scaled)
        graph.arc(hundreds, "", rest)
        graph.arc(thousands, "", scaled)
        graph.arc(thousands, "", rest)
        graph.phrases(source, nonzero(numbers), first)
        graph.phrases(first, self.hundred, hundreds)
        graph.phrases(first, self.thousand, thousands)
        add_pairs(graph, numbers, first, counted)
        add_pairs(graph, numbers, source, below_hundred)
        graph.arc(below_hundred, "", counted)
        graph.phrases(below_hundred, self.hundred, hundreds)
        after_thousand = graph.state()
        graph.phrases(thousands, nonzero(numbers), after_thousand)
        graph.phrases(after_thousand, self.hundred, hundreds)
        article = graph.state()
        graph.phrases(source, numbers.article, article)
        graph.phrases(article, self.hundred, hundreds)
        graph.phrases(article, self.thousand, thousands)
        self._digit_by_digit(source, counted, lone)

    def _rest(self, counted: int) -> int:
        """What may follow hundreds or thousands: "and two", "two", "and sixty five"."""
        rest, joined = self.graph.state(), self.graph.state()
        self.graph.arc(rest, "", joined)
        self.graph.phrases(rest, self.numbers.joiner, joined)
        self.graph.phrases(joined, nonzero(self.numbers), counted)
        add_pairs(self.graph, self.numbers, joined, counted)
        return rest

    def _digit_by_digit(self, source: int, counted: int, lone: int) -> None:
        first, *more = said = [self.graph.state() for _ in range(DIGITS)]
        never_alone = self.numbers.never_alone
        self.graph.phrases(source, [d for d in self.numbers.digits if d not in never_alone], first)
        self.graph.phrases(source, never_alone, lone)
        self.graph.phrases(lone, self.numbers.digits, more[0])
        for here, after in pairwise(said):
            self.graph.phrases(here, self.numbers.digits, after)
        for end in said:
            self.graph.arc(end, "", counted)
        said = [source, *said]
        _add_repeats(self.graph, self.numbers, said)


def _add_decimals(
    graph: Builder, numbers: NumberWords, point: int, target: int, decimals: int
) -> None:
    said = [point, *(graph.state() for _ in range(decimals))]
    for here, after in pairwise(said):
        graph.phrases(here, numbers.digits, after)
        graph.arc(after, "", target)
    _add_repeats(graph, numbers, said)
    if decimals == 2:
        add_pairs(graph, numbers, point, target)


def _add_repeats(graph: Builder, numbers: NumberWords, said: list[int]) -> None:
    """A doubled digit in a chain of states that each stand for one more digit."""
    for word, times in numbers.repeat.items():
        for here, after in zip(said, said[times:], strict=False):
            doubled = graph.state()
            graph.phrase(here, word, doubled)
            graph.phrases(doubled, numbers.digits, after)


def _add_fractions(graph: Builder, numbers: NumberWords, counted: int, target: int) -> None:
    joined, article = graph.state(), graph.state()
    graph.phrases(counted, numbers.joiner, joined)
    graph.arc(joined, "", article)
    graph.phrases(joined, numbers.article, article)
    graph.phrases(article, numbers.fractions, target)
