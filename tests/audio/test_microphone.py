"""The microphone, with PortAudio stood in for: no sound device is touched."""

from __future__ import annotations

import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from assistant.audio.microphone import BLOCK, Microphone
from assistant.audio.sound_devices import look_again, sound_devices
from assistant.audio.utterance import RATE
from assistant.errors import AudioError


class PortAudioError(Exception):
    pass


class Stream:
    """Takes the settings that sounddevice.InputStream takes and is fed by the test."""

    def __init__(self, **settings: Any) -> None:
        if settings["device"] == "broken":
            raise PortAudioError("Error opening InputStream")
        self.settings = settings
        self.calls: list[str] = []

    def start(self) -> None:
        self.calls.append("start")

    def stop(self) -> None:
        self.calls.append("stop")

    def abort(self) -> None:
        self.calls.append("abort")

    def close(self) -> None:
        self.calls.append("close")

    def feed(self, block: np.ndarray, overflow: bool = False) -> None:
        status = SimpleNamespace(input_overflow=overflow)
        self.settings["callback"](block, len(block), None, status)


@pytest.fixture
def stream(monkeypatch: pytest.MonkeyPatch) -> list[Stream]:
    opened: list[Stream] = []

    def open_stream(**settings: Any) -> Stream:
        opened.append(Stream(**settings))
        return opened[-1]

    module = SimpleNamespace(
        InputStream=open_stream,
        PortAudioError=PortAudioError,
        query_devices=lambda: [
            {"name": "Loudspeaker", "max_input_channels": 0, "max_output_channels": 2},
            {"name": "Headset", "max_input_channels": 1, "max_output_channels": 0},
        ],
    )
    monkeypatch.setitem(sys.modules, "sounddevice", module)
    return opened


def test_blocks_come_out_in_order_as_copies(stream: list[Stream]) -> None:
    with Microphone() as microphone:
        block = np.zeros((BLOCK, 1), np.float32)
        for value in (0.1, 0.2, 0.3):
            block[:] = value  # PortAudio uses one buffer again and again
            stream[0].feed(block)
        blocks = iter(microphone)
        got = [next(blocks) for _ in range(3)]
    assert [part.shape for part in got] == [(BLOCK,)] * 3
    np.testing.assert_allclose([part[0] for part in got], [0.1, 0.2, 0.3], rtol=1e-6)
    assert stream[0].calls == ["start", "abort", "close"]
    assert stream[0].settings["samplerate"] == RATE
    assert stream[0].settings["channels"] == 1


def test_the_block_after_lost_sound_says_so(stream: list[Stream]) -> None:
    with Microphone() as microphone:
        stream[0].feed(np.ones((BLOCK, 1), np.float32))
        stream[0].feed(np.ones((BLOCK, 1), np.float32), overflow=True)
        blocks = [microphone.read(), microphone.read()]
    assert [block.after_gap for block in blocks] == [False, True]
    assert [len(block.samples) for block in blocks] == [BLOCK, BLOCK]


def test_what_is_forgotten_is_counted_in_samples(stream: list[Stream]) -> None:
    with Microphone() as microphone:
        for _ in range(3):
            stream[0].feed(np.ones((BLOCK, 1), np.float32))
        assert microphone.forget() == 3 * BLOCK
        assert microphone.forget() == 0


def test_a_microphone_that_is_unplugged_is_told_at_once_also_while_its_sound_is_forgotten(
    stream: list[Stream],
) -> None:
    with Microphone() as microphone:
        stream[0].feed(np.ones((BLOCK, 1), np.float32))
        stream[0].settings["finished_callback"]()
        assert microphone.forget() == BLOCK
        with pytest.raises(AudioError, match="Check its plug"):
            microphone.read()


def test_only_devices_that_give_sound_are_microphones(stream: list[Stream]) -> None:
    assert sound_devices("input") == {1: "Headset"}
    assert sound_devices("output") == {0: "Loudspeaker"}


def test_looking_again_has_portaudio_ask_the_system_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    module = SimpleNamespace(
        _terminate=lambda: asked.append("end"), _initialize=lambda: asked.append("begin")
    )
    monkeypatch.setitem(sys.modules, "sounddevice", module)
    look_again()
    assert asked == ["end", "begin"]


def test_a_microphone_that_does_not_open_names_the_others(stream: list[Stream]) -> None:
    with pytest.raises(AudioError, match=r"can't be opened.*1 Headset"):
        Microphone("broken")


def test_a_microphone_that_falls_silent_is_told(stream: list[Stream]) -> None:
    with Microphone() as microphone, pytest.raises(AudioError, match="Check its plug"):
        microphone.read(seconds=0.001)


def test_without_portaudio_the_package_to_install_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Missing:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])
    with pytest.raises(AudioError, match="sudo apt install libportaudio2"):
        sound_devices("input")
