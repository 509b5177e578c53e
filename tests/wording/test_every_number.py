"""Every integer from -9999 to 9999 and every decimal from 0.00 to 99.99, in every spoken form."""

from __future__ import annotations

import num2words
import pytest
import spoken_forms
from text_to_num import alpha2digit, text2num

from assistant.numbers.in_words import Numbers
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid

SIGNS = ("", "minus ", "negative ")


@pytest.mark.parametrize("sign", SIGNS)
def test_every_integer_in_every_form(numbers: Numbers, sign: str) -> None:
    forms = 0
    for n in range(10_000):
        expected = f"-{n}" if sign and n else str(n)
        for said in spoken_forms.whole_forms(n):
            words = tuple(f"{sign}{said}".split())
            assert numbers.read(words) == expected, " ".join(words)
            assert numbers.run(words, 0) == len(words), " ".join(words)
            forms += 1
    assert forms > 60_000


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("places", [1, 2])
def test_every_decimal_in_every_form_with_its_resolution(
    numbers: Numbers, sign: str, places: int
) -> None:
    for hundredths in range(100 * 10**places):
        whole, decimals = divmod(hundredths, 10**places)
        number = f"{whole}.{decimals:0{places}d}"
        expected = f"-{number}" if sign and hundredths else number
        for said in spoken_forms.decimal_forms(whole, number.partition(".")[2]):
            words = tuple(f"{sign}{said}".split())
            assert numbers.read(words) == expected, " ".join(words)
            assert numbers.run(words, 0) == len(words), " ".join(words)


def test_every_integer_as_a_reading_of_the_parser(parser: Parser) -> None:
    """Each in one of its forms, the forms in turn."""
    for n in range(-9999, 10_000):
        forms = list(spoken_forms.whole_forms(abs(n)))
        sign = SIGNS[1 + n % 2] if n < 0 else ""
        line = f"guide front {sign}{forms[n % len(forms)]}"
        (reading,) = parser.parse_text(line)
        assert isinstance(reading, ReadingSaid), line
        assert (reading.quantity, reading.position) == ("guide_signal", "front"), line
        assert reading.value.number == str(n), line
        assert reading.heard == line


def test_the_counted_forms_are_those_of_num2words() -> None:
    """num2words 0.5.14 counts as the British do."""
    for n in range(10_000):
        said = num2words.num2words(n).replace("-", " ").replace(",", "")
        assert said == spoken_forms.counted(n)


def test_counted_integers_agree_with_text2num(numbers: Numbers) -> None:
    for n in range(10_000):
        said = spoken_forms.counted(n)
        assert text2num(said, "en") == int(str(numbers.read(tuple(said.split()))))


def test_decimals_agree_with_alpha2digit(numbers: Numbers) -> None:
    for hundredths in range(300, 10_000):
        whole, decimals = divmod(hundredths, 100)
        said = f"{spoken_forms.counted(whole)} point {spoken_forms.figures(f'{decimals:02d}')}"
        assert alpha2digit(said, "en") == numbers.read(tuple(said.split()))
