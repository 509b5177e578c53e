from __future__ import annotations

import sys
import wave
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.errors import SpeechError
from assistant.speaking.loudspeaker import Loudspeaker, to_wav
from assistant.speaking.reply import Reply

RATE = 16_000


class Hum:
    """A voice that hums for a tenth of a second a word."""

    def say(self, text: str) -> tuple[NDArray[np.float32], int]:
        return np.full(len(text.split()) * RATE // 10, 0.1, np.float32), RATE

    def close(self) -> None: ...


class FakeDevice:
    def __init__(self) -> None:
        self.played: list[int] = []
        self.deaf_while_playing: list[bool] = []
        self.speaker: Any = None

    def query_devices(self, kind: str) -> dict[str, str]:
        return {"name": kind}

    def play(self, samples: NDArray[np.float32], rate: int, blocking: bool) -> None:
        self.played.append(len(samples))
        self.deaf_while_playing.append(self.speaker.speaking)

    def stop(self) -> None: ...


def test_the_loudspeaker_says_when_it_is_speaking(monkeypatch: pytest.MonkeyPatch) -> None:
    device = FakeDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", device)  # type: ignore[arg-type]
    device.speaker = speaker = Loudspeaker(Hum())
    speaker.say(Reply("shown", "two words", "accepted"))
    speaker.say(Reply("only shown", ""))
    assert len(device.played) == 1
    assert device.played[0] > 2 * RATE // 10  # the tone follows the words
    assert device.deaf_while_playing == [True]
    assert not speaker.speaking
    assert speaker.silent == ""


def test_without_a_device_it_is_silent_and_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(kind: str) -> None:
        raise ValueError(kind)

    monkeypatch.setitem(sys.modules, "sounddevice", SimpleNamespace(query_devices=none))  # type: ignore[arg-type]
    speaker = Loudspeaker(Hum())
    speaker.say(Reply("shown", "two words"))
    speaker.stop()
    assert speaker.silent


def test_a_voice_that_fails_does_not_end_the_job(monkeypatch: pytest.MonkeyPatch) -> None:
    class Mute(Hum):
        def say(self, text: str) -> tuple[NDArray[np.float32], int]:
            if text == "mute":
                raise SpeechError("The voice stopped.")
            return super().say(text)

    device = FakeDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", device)  # type: ignore[arg-type]
    device.speaker = speaker = Loudspeaker(Mute())
    speaker.say(Reply("shown", "mute"))
    assert speaker.silent == "The voice stopped."
    assert device.played == []
    speaker.say(Reply("shown", "words"))
    assert speaker.silent == ""
    assert len(device.played) == 1


def test_a_session_is_written_as_one_wav_with_what_was_only_shown_left_out(tmp_path: Path) -> None:
    path = tmp_path / "said.wav"
    to_wav([Reply("a", "one"), Reply("b", ""), Reply("c", "two words")], path, Hum())
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        pcm = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    assert np.count_nonzero(pcm) == 3 * RATE // 10


def test_no_file_is_written_when_nothing_was_said(tmp_path: Path) -> None:
    to_wav([Reply("only shown", "")], tmp_path / "said.wav", Hum())
    assert not (tmp_path / "said.wav").exists()
