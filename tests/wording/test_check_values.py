"""Numbers in words against outside sources, and the traps of the libraries that cross-check.

The sources are named as they were found: P was read in the source itself, C was computed with the
library named, Q is a quotation whose original was not seen.
"""

from __future__ import annotations

from decimal import Decimal

import num2words
import pytest
from text_to_num import alpha2digit, text2num

from assistant.numbers.in_words import Numbers
from assistant.numbers.integers import Refusal

NUM2WORDS = "num2words 0.5.14, C"
TEXT2NUM = "text2num 3.1.0, C"
TABLE_3 = "CAP 413 chapter 2 table 3, stored copy, P"
ANNEX_10 = "ICAO Annex 10 volume II 5.2.1.4.1, Q"


@pytest.mark.parametrize(
    ("said", "number", "source"),
    [
        ("twenty one", "21", NUM2WORDS),
        ("one hundred and one", "101", NUM2WORDS),
        ("three hundred and forty two", "342", NUM2WORDS),
        ("one thousand and five", "1005", NUM2WORDS),
        ("seventy five point five", "75.5", NUM2WORDS),
        ("zero point zero five", "0.05", NUM2WORDS),
        ("minus twelve", "-12", NUM2WORDS),
        ("eighty one", "81", "text2num METADATA, P and C"),
        ("one hundred and twenty one point two", "121.2", TEXT2NUM),
        ("fifteen hundred", "1500", TEXT2NUM),
        ("one two two decimal one", "122.1", TABLE_3),
        ("six five zero zero", "6500", TABLE_3),
        ("one eight zero", "180", TABLE_3),
        ("one five zero", "150", TABLE_3),
        ("eight hundred", "800", ANNEX_10),
        ("three thousand four hundred", "3400", ANNEX_10),
        ("one two thousand", "12000", ANNEX_10),
        ("one zero one zero", "1010", ANNEX_10),
        ("zero eight zero", "80", ANNEX_10),
    ],
)
def test_numbers_of_the_sources(numbers: Numbers, said: str, number: str, source: str) -> None:
    assert numbers.read(tuple(said.split())) == number, source


def test_a_number_past_the_range_of_any_display_is_refused(numbers: Numbers) -> None:
    """text2num METADATA (P and C) has 51578302; a display of the trade does not."""
    said = "fifty one million five hundred seventy eight thousand three hundred two"
    assert text2num(said, "en") == 51578302
    assert isinstance(numbers.read(tuple(said.split())), Refusal)


def test_the_figures_of_radiotelephony(numbers: Numbers) -> None:
    """CAP 413 chapter 2 table 2, stored copy, P."""
    said = ["zero", "wun", "too", "tree", "fower", "fife", "six", "seven", "ait", "niner"]
    assert [numbers.read((word,)) for word in said] == [str(n) for n in range(10)]


def test_digit_by_digit_is_joined_where_text2num_leaves_it_apart(numbers: Numbers) -> None:
    """text2num 3.1.0, C: "1 2 3", "4 60", "1 2.5"."""
    assert alpha2digit("one two three", "en") == "1 2 3"
    assert alpha2digit("four sixty", "en") == "4 60"
    assert alpha2digit("one two point five", "en") == "1 2.5"
    assert numbers.read(("one", "two", "three")) == "123"
    assert numbers.read(("four", "sixty")) == "460"
    assert numbers.read(("one", "two", "point", "five")) == "12.5"


@pytest.mark.parametrize("said", ["fifty sixty", "thousand thousand"])
def test_what_text2num_refuses_is_refused(numbers: Numbers, said: str) -> None:
    """text2num 3.1.0, C: ValueError."""
    with pytest.raises(ValueError, match=r"\w"):
        text2num(said, "en")
    assert isinstance(numbers.read(tuple(said.split())), Refusal)


@pytest.mark.parametrize("said", ["tree", "a hundred"])
def test_what_text2num_fails_on_is_read(numbers: Numbers, said: str) -> None:
    """Trap 4 of text2num 3.1.0, C."""
    with pytest.raises(ValueError, match=r"\w"):
        text2num(said, "en")
    assert numbers.read(tuple(said.split())) in {"3", "100"}


def test_text2num_leaves_small_numbers_and_a_bare_point_as_words(numbers: Numbers) -> None:
    """Trap 4 of text2num 3.1.0, C."""
    assert [alpha2digit(word, "en") for word in ("zero", "one", "two")] == ["zero", "one", "two"]
    assert alpha2digit("point five", "en") == "point 5"
    assert alpha2digit("oh point five", "en") == "oh point 5"
    assert numbers.read(("point", "five")) == numbers.read(("oh", "point", "five")) == "0.5"


def test_num2words_loses_the_sign_that_the_parser_keeps(numbers: Numbers) -> None:
    """Trap 1 of num2words 0.5.14, C: so it never speaks a reading."""
    assert num2words.num2words(Decimal("-0.5")) == "zero point five"
    assert numbers.read(("minus", "zero", "point", "five")) == "-0.5"


def test_num2words_loses_the_resolution_that_the_parser_keeps(numbers: Numbers) -> None:
    """Trap 2 of num2words 0.5.14 and text2num 3.1.0, C."""
    assert num2words.num2words(Decimal("12.50")) == "twelve point five"
    said = "twelve point five zero"
    assert alpha2digit(said, "en") == numbers.read(tuple(said.split())) == "12.50"
