from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from assistant.errors import SpeechError
from assistant.speaking.digits import DIGITS, figures, figures_in, spell, value_words
from assistant.wording.statement import Value


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("0", "zero"),
        ("102", "one zero two"),
        ("-65", "minus six five"),
        ("−65", "minus six five"),
        ("-0.5", "minus zero point five"),
        ("0.05", "zero point zero five"),
        ("12.50", "one two point five zero"),
        ("20.0", "two zero point zero"),
    ],
)
def test_a_number_is_said_digit_by_digit_with_sign_and_resolution(number: str, words: str) -> None:
    assert figures(number) == words


@pytest.mark.parametrize(
    ("number", "words"),
    [
        # CAP 413, chapter 2, table 3: 122.1 is "one two two decimal one", 6500 "six five zero
        # zero", 150° "one five zero"; only the word for the separator is ours.
        ("122.1", "one two two decimal one"),
        ("6500", "six five zero zero"),
        ("150", "one five zero"),
        # ICAO Annex 10 II 5.2.1.4.1, as quoted: QNH 1 010 and heading 080.
        ("1010", "one zero one zero"),
        ("080", "zero eight zero"),
    ],
)
def test_figures_are_those_of_radiotelephony(number: str, words: str) -> None:
    assert figures(number) == words.replace("decimal", "point")


def test_num2words_would_read_back_another_value_and_so_is_not_used() -> None:
    # num2words 0.5.14, computed; savoirfairelinux/num2words issues 402 and 644.
    assert num2words(Decimal("-0.5")) == "zero point five"
    assert figures("-0.5") == "minus zero point five"
    assert num2words(Decimal("12.50")) == "twelve point five"
    assert figures("12.50") == "one two point five zero"
    assert num2words(20.0) == "twenty"
    assert figures("20.0") == "two zero point zero"


@given(
    st.decimals(allow_nan=False, allow_infinity=False, places=3, min_value=-9999, max_value=9999)
)
def test_the_words_give_the_same_string_back(number: Decimal) -> None:
    text = f"{number:f}"
    back = {word: str(digit) for digit, word in enumerate(DIGITS)} | {"minus": "-", "point": "."}
    assert "".join(back[word] for word in figures(text).split()) == text


@pytest.mark.parametrize("text", ["", "-", "1e3", "12,5", ".5", "5.", "NaN", "1 2", "١٢"])
def test_what_is_no_plain_decimal_is_refused(text: str) -> None:
    with pytest.raises(SpeechError, match="can't be read back"):
        figures(text)


def test_a_value_is_said_with_its_unit_and_no_value_without() -> None:
    assert value_words(Value("value", "12.50"), "volts") == "one two point five zero volts"
    assert value_words(Value("value", "102")) == "one zero two"
    assert value_words(Value("no_reading", None), "volts") == "no reading"
    assert value_words(Value("off_scale", None), "volts") == "off scale"


def test_an_identifier_is_spelled() -> None:
    assert spell("47B-x") == "four seven bravo x-ray"


def test_only_whole_numbers_in_a_sentence_become_figures() -> None:
    text = "front 102 and rear -65 differ by 167. Sensor x12 and 1.2.3 stay."
    assert figures_in(text) == (
        "front one zero two and rear minus six five differ by one six seven. "
        "Sensor x12 and 1.2.3 stay."
    )
