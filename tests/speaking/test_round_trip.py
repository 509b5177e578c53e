"""What the assistant says, heard by the ear that ships with it, is the same reading.

The own ear was trained on voices of this synthesiser among others, so this says that the read-back
is clear, and nothing of a human speaker. pocketsphinx, not trained on it, brought label and value
of 41 of 60 random readings back, Whisper tiny.en of 12: one ear alone never accepts.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

import numpy as np
import pytest
import soxr

from assistant.audio.utterance import RATE, Utterance
from assistant.hearing.own import OwnEar
from assistant.profile import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.settling.settled import Settled
from assistant.speaking.readback import reply_to
from assistant.speaking.voice import EspeakVoice
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid, Value

PROFILE = load_profile("robot_mower")
QUIET = 0.4


@pytest.fixture(scope="module")
def ear() -> OwnEar:
    spoken = load_spoken()
    said = {**spoken.pronunciations, **PROFILE.profile.pronunciations}
    return OwnEar(word_graph(PROFILE, spoken), said)


@pytest.fixture(scope="module")
def parser() -> Parser:
    return Parser(PROFILE, load_spoken())


@pytest.fixture(scope="module")
def voice() -> Iterator[EspeakVoice]:
    voice = EspeakVoice()
    yield voice
    voice.close()


def utterance(voice: EspeakVoice, words: str) -> Utterance:
    samples, rate = voice.say(words)
    quiet = np.zeros(round(QUIET * RATE), np.float32)
    whole = np.concatenate([quiet, soxr.resample(samples, rate, RATE), quiet])
    return Utterance(whole, RATE, 0.0, len(whole) / RATE, QUIET, QUIET, "said")


def some_readings(count: int) -> list[tuple[str, str | None, str]]:
    """Readings drawn at random, always the same ones: signals of either sign, volts, ohms, tilt."""
    rng = random.Random(5)
    found: list[tuple[str, str | None, str]] = []
    for _ in range(count):
        kind = rng.randrange(5)
        if kind < 2:
            wire, position = rng.choice(["guide", "boundary"]), rng.choice(["front", "rear"])
            found.append((f"{wire}_signal", position, str(rng.randint(-300, 300))))
        elif kind == 2:
            place = rng.choice(["battery", "contact", "supply"])
            found.append((f"{place}_voltage", None, f"{rng.uniform(0, 30):.2f}"))
        elif kind == 3:
            found.append(("boundary_resistance", None, f"{rng.uniform(0, 50):.1f}"))
        else:
            found.append(("station_tilt", None, f"{rng.uniform(-5, 5):.1f}"))
    return found


@pytest.mark.parametrize(
    ("quantity", "position", "number"),
    [
        ("guide_signal", "front", "102"),
        ("boundary_signal", "rear", "-237"),
        ("battery_voltage", None, "12.50"),
        ("signal_quality", None, "100"),
        ("charging_current", None, "1.50"),
        *some_readings(60),
    ],
)
def test_what_is_said_back_is_heard_as_the_same_reading(
    ear: OwnEar,
    parser: Parser,
    voice: EspeakVoice,
    quantity: str,
    position: str | None,
    number: str,
) -> None:
    said = ReadingSaid((), quantity, position, Value("value", number))
    words = reply_to(Settled(said, "accepted"), PROFILE).spoken
    [best, *_] = ear.hear(utterance(voice, words)).hypotheses
    [heard] = parser.parse(best.words)
    assert isinstance(heard, ReadingSaid), best.text
    assert (heard.quantity, heard.position, heard.value.number) == (quantity, position, number)
