"""What nobody means for the assistant makes no reading: noises made in code, the real recognisers.

Half a minute of each; hours of them, with what was asked about, in benchmarks/false_readings.py.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.hearing.ears import Ears, open_ears
from assistant.profile import load_profile, load_spoken
from tests.benchmarks.false_readings import PIECE, kinds, play

NOISES = (
    "silence", "hiss", "rumble", "hum", "mower motor", "fan", "dropped tools", "impact wrench",
    "breath", "music",
)  # fmt: skip
SPEECH = ("chatter", "radio")
KINDS = kinds(flite=False)


@pytest.fixture(scope="module")
def ears() -> Iterator[Ears]:
    with open_ears(load_profile(), load_spoken(), ["own", "pocketsphinx"]) as opened:
        yield opened


@pytest.mark.parametrize("name", NOISES)
def test_noise_and_music_make_no_entry_and_are_not_answered(ears: Ears, name: str) -> None:
    found = play(name, KINDS[name], ears, PIECE, seed=2, expect=True)
    assert not {what for what, count in found.items() if count} - {"utterances"}


@pytest.mark.parametrize("name", SPEECH)
def test_talk_off_the_grammar_makes_no_reading(ears: Ears, name: str) -> None:
    found = play(name, KINDS[name], ears, PIECE, seed=2, expect=False)
    assert found["utterances"] > 0
    assert found["reading accepted"] == 0
