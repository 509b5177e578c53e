from __future__ import annotations

import sys
import wave
from collections.abc import Callable
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
    """In place of the sounddevice module; a stream of it plays at once."""

    def __init__(self) -> None:
        self.played: list[int] = []
        self.deaf_while_playing: list[bool] = []
        self.while_playing: Callable[[], None] = lambda: None
        self.speaker: Any = None

    def query_devices(self, device: str | None, kind: str) -> dict[str, str]:
        return {"name": kind}

    def OutputStream(self, **settings: Any) -> FakeStream:  # noqa: N802 (the library's name)
        assert settings["channels"] == 1
        return FakeStream(self)


class FakeStream:
    def __init__(self, device: FakeDevice) -> None:
        self._device = device
        self._device.played.append(0)

    def __enter__(self) -> FakeStream:
        return self

    def __exit__(self, *_: object) -> None: ...

    def abort(self) -> None: ...

    def write(self, samples: NDArray[np.float32]) -> None:
        assert samples.shape == (len(samples), 1)
        self._device.played[-1] += len(samples)
        self._device.deaf_while_playing.append(self._device.speaker.speaking)
        self._device.while_playing()


def test_the_loudspeaker_says_when_it_is_speaking(monkeypatch: pytest.MonkeyPatch) -> None:
    device = FakeDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", device)  # type: ignore[arg-type]
    device.speaker = speaker = Loudspeaker(Hum())
    speaker.say(Reply("shown", "two words", "accepted"))
    speaker.say(Reply("only shown", ""))
    assert len(device.played) == 1
    assert device.played[0] > 2 * RATE // 10  # the tone follows the words
    assert set(device.deaf_while_playing) == {True}
    assert not speaker.speaking
    assert speaker.silent == ""


def test_it_falls_silent_within_a_word_when_it_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    device = FakeDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", device)  # type: ignore[arg-type]
    device.speaker = speaker = Loudspeaker(Hum())
    device.while_playing = speaker.stop
    speaker.start([Reply("shown", "a long row of words"), Reply("shown", "and more")])
    speaker.wait()
    assert len(device.played) == 1
    assert device.played[0] < RATE // 10
    assert not speaker.speaking
    device.while_playing = lambda: None
    speaker.say(Reply("shown", "two words"))
    assert device.played[1] == 2 * RATE // 10


def test_a_loudspeaker_that_is_unplugged_does_not_end_the_job(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def gone() -> None:
        raise OSError("device unavailable")

    device = FakeDevice()
    monkeypatch.setitem(sys.modules, "sounddevice", device)  # type: ignore[arg-type]
    device.speaker = speaker = Loudspeaker(Hum())
    device.while_playing = gone
    speaker.say(Reply("shown", "two words"))
    assert "Check its plug" in speaker.silent
    device.while_playing = lambda: None
    speaker.look_again()
    speaker.say(Reply("shown", "two words"))
    assert speaker.silent == ""


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (ValueError("output"), "There is no loudspeaker"),
        (OSError("PortAudio library not found"), "apt install libportaudio2"),
        (RuntimeError("the server is gone"), "the server is gone"),
    ],
)
def test_without_a_device_it_is_silent_and_says_why(
    error: Exception, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(device: None, kind: str) -> None:
        raise error

    monkeypatch.setitem(sys.modules, "sounddevice", SimpleNamespace(query_devices=none))  # type: ignore[arg-type]
    speaker = Loudspeaker(Hum())
    speaker.say(Reply("shown", "two words"))
    speaker.stop()
    assert told in speaker.silent


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
