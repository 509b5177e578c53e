"""The shipped recordings through the real voice detector: every utterance once, nothing else."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.audio.noise import babble, broadband, fan, hum, impulses, mix, motor
from assistant.audio.recording import read, read_blocks
from assistant.audio.segments import LOOK_BACK, QUIET_NEEDED, utterances
from assistant.audio.utterance import RATE
from assistant.profile.load import load_profile
from assistant.shipped import shipped

FOLDER = shipped("demo_audio")
TRUTHS = sorted(FOLDER.glob("*/truth.json"))
Samples = NDArray[np.float32]


def files() -> list[tuple[Path, dict[str, Any]]]:
    return [
        (path.parent / part["file"], part)
        for path in TRUTHS
        for part in json.loads(path.read_text(encoding="utf-8"))["files"]
    ]


def spoken(words: str) -> Samples:
    """The sound of one utterance of the demo, without the quiet around it."""
    for path, part in files():
        for truth in part["utterances"]:
            if truth["words"] == words and part["noise"] is None:
                return read(path)[round(truth["start"] * RATE) : round(truth["end"] * RATE)]
    raise LookupError(words)


@pytest.mark.parametrize(("path", "part"), files(), ids=lambda value: getattr(value, "stem", ""))
def test_every_utterance_of_the_truth_is_found_exactly_once_and_whole(
    path: Path, part: dict[str, Any]
) -> None:
    result = list(utterances(read_blocks(path), path.name))
    assert len(result) == len(part["utterances"])
    for utterance, truth in zip(result, part["utterances"], strict=True):
        assert utterance.start <= truth["start"], truth["words"]
        assert utterance.end >= truth["end"], truth["words"]
        assert utterance.quiet_before >= QUIET_NEEDED, truth["words"]
        assert utterance.quiet_after >= QUIET_NEEDED, truth["words"]


def test_the_demo_holds_what_its_readme_promises() -> None:
    sessions = [json.loads(path.read_text(encoding="utf-8")) for path in TRUTHS]
    said = [truth for _, part in files() for truth in part["utterances"]]
    assert len(sessions) >= 3
    assert len(said) >= 60
    assert len({session["voice"] for session in sessions}) >= 3
    assert any(reading["corrects"] for truth in said for reading in truth["readings"])
    assert any(truth["notes"] for truth in said)
    assert any(part["noise"] for _, part in files())
    assert sum(path.stat().st_size for path in FOLDER.rglob("*.*")) < 20e6


def test_the_truth_names_only_what_the_profile_has() -> None:
    profile = load_profile("robot_mower")
    quantities = {quantity.id: quantity for quantity in profile.quantity}
    contexts = {context.id: {value.id for value in context.value} for context in profile.context}
    choices = {item.id: {choice.id for choice in item.choice} for item in profile.observation}
    events = {event.id for event in profile.event}
    for _, part in files():
        for truth in part["utterances"]:
            for reading in truth["readings"]:
                quantity = quantities[reading["quantity"]]
                assert reading["unit"] == quantity.unit
                assert reading["position"] in (*quantity.positions, None)
                assert set(quantity.needs) <= set(reading["context"])
                low, high = quantity.plausible
                assert low <= float(reading["value"]) <= high
                for key, value in reading["context"].items():
                    assert value in contexts[key]
            for context in truth["contexts"]:
                for key, value in context.items():
                    assert value in contexts[key]
            for observation in truth["observations"]:
                for item, choice in observation.items():
                    assert choice in choices[item]
            assert set(truth["events"]) <= events


@pytest.mark.parametrize("snr_db", [15, 5])
@pytest.mark.parametrize("make", [broadband, motor, fan])
@pytest.mark.parametrize(
    "words", ["guide rear minus sixty five", "why", "charging current zero point two amps"]
)
def test_speech_in_noise_is_found_whole(words: str, make: Any, snr_db: float) -> None:
    rng = np.random.default_rng(7)
    voice = spoken(words)
    lead, tail = np.zeros(RATE, np.float32), np.zeros(RATE, np.float32)
    clean = np.concatenate((lead, voice, tail))
    (utterance,) = utterances([mix(clean, make(len(clean), rng), snr_db)], "noisy")
    assert utterance.start <= 1.0
    assert utterance.end >= 1.0 + len(voice) / RATE


@pytest.mark.parametrize("lead", [0.2, 0.3])
def test_a_short_lead_of_digital_silence_is_enough(lead: float) -> None:
    sound = np.concatenate(
        (np.zeros(round(lead * RATE), np.float32), spoken("guide rear minus sixty five"))
    )
    (utterance,) = utterances([sound], "short")
    assert utterance.quiet_before >= QUIET_NEEDED
    assert utterance.start == 0.0 or lead > LOOK_BACK


@pytest.mark.parametrize("kept", [0.1, 0.3, 0.5, 0.7, 0.9, 1.1])
def test_a_recording_that_begins_in_the_middle_of_speech_has_too_little_quiet(kept: float) -> None:
    voice = spoken("boundary rear minus two hundred and thirty seven")
    cut = np.concatenate((voice[round(kept * RATE) :], np.zeros(RATE, np.float32)))
    (utterance,) = utterances([cut], "cut")
    assert utterance.quiet_before < QUIET_NEEDED


def tone(n: int, rng: np.random.Generator) -> Samples:
    time = np.arange(n) / RATE
    return np.sin(2 * np.pi * rng.uniform(200, 1000) * time).astype(np.float32)


def silence(n: int, _: np.random.Generator) -> Samples:
    return np.zeros(n, np.float32)


@pytest.mark.parametrize("level", [0.01, 0.1])
@pytest.mark.parametrize("make", [silence, broadband, hum, motor, fan, impulses, tone])
def test_twenty_seconds_without_speech_give_no_utterance(make: Any, level: float) -> None:
    rng = np.random.default_rng(11)
    sound = np.clip(level * make(20 * RATE, rng), -1, 1)
    assert list(utterances([sound], "noise")) == []


def test_chatter_before_the_speech_is_no_quiet() -> None:
    voices = [read(path) for path, _ in files()[:3]]
    chatter = babble(4 * RATE, np.random.default_rng(13), voices)
    voice = spoken("guide rear minus sixty five")
    clean = np.concatenate((np.zeros(RATE, np.float32), voice, np.zeros(RATE, np.float32)))
    mixed = mix(clean, chatter, 5)
    result = [u for u in utterances([mixed], "chatter") if u.start <= 1.0 + len(voice) / RATE]
    assert result[0].quiet_before < QUIET_NEEDED
