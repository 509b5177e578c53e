"""What was heard against what was said, as the demo and `hear` end with it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hollin_bank import SESSION

from assistant.report.tally import show_tally
from assistant.truth import Compared, Outcome

READING = SESSION.readings[0]
ASKED = replace(READING, value=None, state="off_scale", doubts=("value",), ears={"own": "a\x1bb"})


def test_values_are_counted_and_each_that_is_not_right_is_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    show_tally(
        [
            Compared(Outcome.RIGHT, "guide front forty six", {}, READING),
            Compared(Outcome.RIGHT, "guide rear forty nine", {}, SESSION.readings[1]),
            Compared(Outcome.ASKED, "guide front open", {}, ASKED),
            Compared(Outcome.MISSED, "quality ninety", {}, None),
            Compared(Outcome.INVENTED, "", None, READING),
        ]
    )
    first, *rest = capsys.readouterr().out.strip().splitlines()
    assert first == "Of 4 values said: 2 right, 1 asked, 1 missed, 0 wrong, 1 invented"
    assert rest == [
        "  asked: said “guide front open”, taken as guide_signal front off_scale (value): "
        "own “a\ufffdb”",
        "  missed: said “quality ninety”, nothing was heard",
        "  invented: nobody said it, taken as guide_signal front 46",
    ]
