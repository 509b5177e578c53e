"""Numbers as they are said in British, in American and in radiotelephony manner, as readings.

Digits, "decimal" and "tousand" of radiotelephony: CAP 413 chapter 2, table 2 (a stored copy, read);
"one two thousand" and its like: ICAO Annex 10 volume II, 5.2.1.4.1 (quoted). Counted numbers are
checked against text2num 3.1.0, which is not ours. "Double oh", "oh two" and "nought": common
practice, no source.
"""

from __future__ import annotations

import pytest
from text_to_num import text2num

from assistant.numbers.in_words import Numbers
from assistant.numbers.integers import Refusal
from assistant.wording.parser import Parser
from tests.wording.said import meaning

BRITISH = {
    "a hundred and two": "102",
    "one hundred and two": "102",
    "a thousand and five": "1005",
    "two thousand and forty": "2040",
    "one double oh": "100",
    "double oh seven": "7",
    "nought point five": "0.5",
    "three and a half": "3.5",
    "six point double oh": "6.00",
}
AMERICAN = {
    "one hundred two": "102",
    "two thousand forty": "2040",
    "twelve hundred thirty four": "1234",
    "one thousand two hundred thirty four": "1234",
    "one oh two": "102",
    "oh two": "2",
    "zero point five": "0.5",
}
RADIOTELEPHONY = {
    "wun zero too": "102",
    "tree fower fife": "345",
    "six seven ait niner": "6789",
    "fife niner ait": "598",
    "wun too too decimal wun": "122.1",
    "ait decimal fife": "8.5",
    "tree tousand fower hundred": "3400",
    "wun too tousand": "12000",
    "ait hundred": "800",
    "zero ait zero": "80",
}
MANNERS = {**BRITISH, **AMERICAN, **RADIOTELEPHONY}


@pytest.mark.parametrize(("said", "number"), MANNERS.items())
def test_a_number_is_read_in_each_manner(numbers: Numbers, said: str, number: str) -> None:
    assert numbers.read(tuple(said.split())) == number


@pytest.mark.parametrize("said", [s for s in MANNERS if "hundred" in s or "thousand" in s])
def test_a_counted_number_is_what_another_library_reads(numbers: Numbers, said: str) -> None:
    plain = " ".join({"a": "one"}.get(word, word) for word in said.split())
    radio = {"tree": "three", "fower": "four", "ait": "eight", "tousand": "thousand"}
    plain = " ".join(radio.get(word, word) for word in plain.split())
    assert numbers.read(tuple(said.split())) == str(text2num(plain, "en"))


@pytest.mark.parametrize(
    ("said", "number"), [(s, n) for s, n in MANNERS.items() if n.isdigit() and int(n) < 1000]
)
def test_it_is_a_reading_with_its_label_minus_and_place(
    parser: Parser, said: str, number: str
) -> None:
    assert meaning(parser, f"docked guide rear minus {said}")[-1] == (
        f"guide_signal@rear -{number} station=docked"
    )


@pytest.mark.parametrize("said", ["unaone", "bissotwo terrathree", "guide front nadazero"])
def test_the_double_figures_of_the_maritime_code_are_refused_and_not_guessed(
    numbers: Numbers, parser: Parser, said: str
) -> None:
    """ITU Radio Regulations, Appendix 14, quoted in translation: understood by nobody at a bench,
    and ten more words that a recogniser could mistake."""
    assert isinstance(numbers.read(tuple(said.split())), Refusal)
    assert meaning(parser, said)[-1] == "??"
