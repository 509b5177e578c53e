"""What an open-vocabulary recogniser prints, as heard words."""

from __future__ import annotations

import pytest

from assistant.hearing.written import heard_words


@pytest.mark.parametrize(
    ("printed", "words"),
    [
        (" Guide front 102.", "guide front 102"),
        ("Boundary rear -65, quality 99%.", "boundary rear -65 quality 99 percent"),
        ("rear − 65", "rear -65"),
        ("rear – 65", "rear -65"),
        ("Battery 12.50V", "battery 12.50 volts"),
        ("battery .8 volts", "battery .8 volts"),
        ("resistance 5Ω", "resistance 5 ohms"),
        ("shift 1,200mm", "shift 1200 millimetres"),
        ("shift 1,200.5", "shift 1200.5"),
        ("27½ volts", "27 and a half volts"),
        ("Sixty-five; one-oh-two!", "sixty five one oh two"),
        ("unit 1-4", "unit 1 4"),
        ("It’s “docked”…", "it's docked"),
        ("a battery", "a battery"),
        ("", ""),
        ("...", ""),
    ],
)
def test_words_and_figures_stay_and_punctuation_goes(printed: str, words: str) -> None:
    assert heard_words(printed) == tuple(words.split())


@pytest.mark.parametrize("strange", ["10:30", "2nd", "3.2.1", "1,2"])
def test_what_is_no_plain_figure_is_left_for_the_parser_to_refuse(strange: str) -> None:
    assert heard_words(f"front {strange}.") == ("front", strange)
