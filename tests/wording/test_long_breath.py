"""Five thousand words in one breath are read whole, at a cost that grows with their number."""

from __future__ import annotations

import sys
from collections.abc import Callable
from itertools import cycle, islice

import pytest

from assistant.hearing.heard import HeardWord
from assistant.wording.parser import Parser

ROWS = (
    "guide front one oh two rear ninety docked",
    "front one correction two",
    "front one docked rear two undocked",
    "docked undocked",
    "blade screws worn",
    "one",
    "double",
    "mower moved",
    "correction",
    "banana",
)


def breath(row: str, words: int) -> tuple[HeardWord, ...]:
    said = islice(cycle(row.split()), words)
    return tuple(HeardWord(word, float(at), at + 0.5, 1.0) for at, word in enumerate(said))


def calls(work: Callable[[], object]) -> int:
    """How many calls the work makes: the same on every machine, busy or not."""
    count = 0

    def counted(*_: object) -> None:
        nonlocal count
        count += 1

    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


@pytest.mark.parametrize("row", ROWS)
def test_twice_the_words_cost_at_most_thrice(parser: Parser, row: str) -> None:
    parser.parse(breath(row, 10))
    short, long = breath(row, 1250), breath(row, 2500)
    assert calls(lambda: parser.parse(long)) < 3 * calls(lambda: parser.parse(short))


@pytest.mark.parametrize("row", ROWS)
def test_no_word_of_five_thousand_is_lost(parser: Parser, row: str) -> None:
    words = breath(row, 5000)
    held = {word.start for statement in parser.parse(words) for word in statement.words}
    assert held == {word.start for word in words}
