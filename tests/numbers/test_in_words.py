"""What each family of number words means. Where no source is named, it is common usage."""

from __future__ import annotations

import pytest

from assistant.numbers.in_words import Numbers
from assistant.numbers.integers import Refusal

MEANINGS = {
    "digit by digit": {
        "one oh two": "102",
        "one zero two": "102",
        "one o two": "102",
        "zero eight zero": "80",
        "oh two": "2",
        "two nine three four": "2934",
        "zero": "0",
        "nought": "0",
    },
    "radiotelephony, CAP 413 chapter 2 table 2": {
        "wun too tree": "123",
        "fower fife six": "456",
        "seven ait niner": "789",
        "one two two decimal one": "122.1",
    },
    "counted": {
        "fourteen": "14",
        "sixty five": "65",
        "one hundred and two": "102",
        "one hundred two": "102",
        "a hundred": "100",
        "a hundred and two": "102",
        "one thousand two hundred": "1200",
        "a thousand and five": "1005",
        "nine thousand nine hundred and ninety nine": "9999",
    },
    "in hundreds and thousands": {
        "twelve hundred": "1200",
        "twelve hundred and fifty": "1250",
        "ninety nine hundred": "9900",
        "twelve thousand": "12000",
        "two hundred and six thousand": "206000",
    },
    "a digit and a pair": {
        "one twenty": "120",
        "one twenty four": "124",
        "two thirty seven": "237",
        "one fourteen": "114",
        "nine ninety nine": "999",
    },
    "repeated digits": {
        "double four": "44",
        "triple two": "222",
        "one double oh": "100",
        "double oh seven": "7",
        "five double five point double oh": "555.00",
    },
    "signs": {
        "minus sixty five": "-65",
        "negative twelve": "-12",
        "minus point five": "-0.5",
        "minus zero": "0",
        "minus zero point zero": "0.0",
    },
    "decimals keep the said resolution": {
        "twenty point four": "20.4",
        "point eight": "0.8",
        "oh point eight": "0.8",
        "zero point zero five": "0.05",
        "twelve point five zero": "12.50",
        "twelve point five": "12.5",
        "one two point five": "12.5",
        "twelve point fifty": "12.50",
        "twelve point twenty five": "12.25",
        "one hundred and two point five": "102.5",
    },
    "fractions": {
        "twenty seven and a half": "27.5",
        "twenty seven and a quarter": "27.25",
        "twenty seven and three quarters": "27.75",
        "one oh two and a half": "102.5",
        "minus two and a half": "-2.5",
    },
    "in figures": {
        "102": "102",
        "1 0 2": "102",
        "minus 6 5": "-65",
        "1 2 point 5": "12.5",
        "-65": "-65",
        "+5": "5",
        "12.50": "12.50",
        ".5": "0.5",
        "007": "7",
        "minus 65": "-65",
        "-0.00": "0.00",
    },
}

REFUSALS = {
    "two pairs may be 1250, 12.50 or two numbers": (
        "twelve fifty",
        "fifty sixty",
        "twenty eleven",
        "ninety nine ninety nine",
        "ten ten",
        "twenty twenty one",
        "twenty one oh",
        "twenty oh five",
    ),
    "no counting goes so": (
        "thousand thousand",
        "hundred",
        "hundred and two",
        "one hundred hundred",
        "one thousand thousand",
        "one hundred and",
        "one hundred and two hundred",
        "two two hundred",
        "one hundred one two",
        "zero hundred",
        "one and two",
        "twenty seven and three",
        "sixty five five",
        "one two twenty",
        "a hundred and a half",
        "two thousand and a half",
    ),
    "broken off": ("point", "twelve point", "double", "one double", "minus", "one hundred and a"),
    "two numbers": (
        "one oh two minus sixty five",
        "minus minus five",
        "12 5",
        "102 thousand",
        "12 point 5",
        "minus -5",
        "one 20",
        "1 20",
    ),
    "a point said twice": ("one point two point three", "point point five"),
    "figures after the point that make no pair": (
        "one point one twenty",
        "one point twenty five three",
    ),
    "no doubling": ("double twenty", "double double two", "triple hundred"),
    "an exclamation": ("oh", "o", "minus oh"),
    "too long": ("one two three four five six seven", "1234567", "1.1234567"),
}


@pytest.mark.parametrize(
    ("said", "number"),
    [pair for family in MEANINGS.values() for pair in family.items()],
)
def test_a_number_is_read_as_it_is_said(numbers: Numbers, said: str, number: str) -> None:
    words = tuple(said.split())
    assert numbers.read(words) == number
    assert numbers.run(words, 0) == len(words)


@pytest.mark.parametrize("said", [said for family in REFUSALS.values() for said in family])
def test_what_is_no_single_number_is_refused_with_a_reason(numbers: Numbers, said: str) -> None:
    refusal = numbers.read(tuple(said.split()))
    assert isinstance(refusal, Refusal)
    assert len(refusal.reason) > 10


@pytest.mark.parametrize(
    ("words", "end"),
    [
        ("one oh two rear", 3),
        ("one oh two and rear", 3),
        ("one hundred and two and rear", 4),
        ("one hundred and", 3),
        ("twelve and a half volts", 4),
        ("a hundred", 2),
        ("a sensor", 0),
        ("minus rear", 0),
        ("and five", 0),
        ("half", 0),
    ],
)
def test_a_run_of_number_words_ends_where_they_do(numbers: Numbers, words: str, end: int) -> None:
    assert numbers.run(words.split(), 0) == end


@pytest.mark.parametrize(
    ("said", "largest", "decimals", "goes_on"),
    [
        ("fourteen", 60, 2, True),  # fourteen point five
        ("fourteen", 999, 0, False),
        ("fourteen", 9999, 0, True),  # fourteen hundred
        ("sixty", 999, 0, True),  # sixty five
        ("sixty five", 999, 0, False),
        ("one", 999, 0, True),
        ("one oh two", 999, 0, False),
        ("one oh two", 9999, 0, True),
        ("one hundred", 999, 0, True),
        ("point five", 60, 2, True),
        ("point five zero", 60, 2, False),
        ("minus six", 999, 0, True),
        ("twenty seven and a half", 60, 2, False),
        ("zero", 60, 0, False),
        ("zero", 60, 1, True),
        ("twelve point", 60, 2, True),
    ],
)
def test_a_number_may_go_on_while_one_more_word_makes_another_plausible_one(
    numbers: Numbers, said: str, largest: float, decimals: int, goes_on: bool
) -> None:
    assert numbers.may_go_on(tuple(said.split()), largest, decimals) is goes_on
