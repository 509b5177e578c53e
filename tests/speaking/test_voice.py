from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import SpeechError
from assistant.speaking.platform_voice import command, platform_voice
from assistant.speaking.voice import EspeakVoice, open_voice


@pytest.fixture
def voice() -> Iterator[EspeakVoice]:
    voice = EspeakVoice()
    yield voice
    voice.close()


def failing(code: str) -> EspeakVoice:
    return EspeakVoice(patience=0.2, command=(sys.executable, "-c", code))


def test_words_become_sound(voice: EspeakVoice) -> None:
    samples, rate = voice.say("guide front one zero two")
    assert samples.dtype == np.float32
    assert samples.ndim == 1
    assert 1.0 < len(samples) / rate < 5.0
    assert 0.05 < np.abs(samples).max() <= 1.0


def test_more_words_take_longer(voice: EspeakVoice) -> None:
    short, _ = voice.say("one")
    long, _ = voice.say("one zero two four five")
    assert len(long) > 2 * len(short)


def test_silence_is_said_as_silence(voice: EspeakVoice) -> None:
    samples, _ = voice.say("")
    assert not samples.any()


@pytest.mark.parametrize("hostile", ["a\nb", "\0", "<speak>", "[[w'Vn]]", '"}', "é 中 \U0001f600"])
def test_hostile_text_leaves_the_voice_working(voice: EspeakVoice, hostile: str) -> None:
    with contextlib.suppress(SpeechError):
        voice.say(hostile)
    assert len(voice.say("one zero two")[0]) > 0


def test_a_crash_is_an_error_and_the_next_call_starts_afresh(voice: EspeakVoice) -> None:
    voice.say("one")
    assert voice._process is not None
    voice._process.kill()
    voice._process.wait()
    assert len(voice.say("two")[0]) > 0


def test_a_process_that_dies_at_work_raises_speech_error() -> None:
    with pytest.raises(SpeechError, match="stopped"):
        failing("import sys; sys.stdin.readline(); sys.exit(1)").say("one")


def test_a_process_that_hangs_is_ended() -> None:
    voice = failing("import sys; sys.stdin.read()")
    with pytest.raises(SpeechError, match="did not answer"):
        voice.say("one")
    assert voice._process is None


def test_an_unknown_voice_is_refused() -> None:
    voice = EspeakVoice(voice="nobody")
    with pytest.raises(SpeechError, match="choose another"):
        voice.say("one")
    voice.close()
    voice.close()


def test_the_text_is_never_part_of_a_platform_command() -> None:
    assert command("say", Path("a.wav"))[0] == "say"
    assert command("say", Path("a.wav"))[-2:] == ["-f", "-"]  # words come on standard input
    assert "$env:BENCHCALL_TEXT" in command("powershell", Path("a.wav"))[-1]


def test_a_platform_without_a_voice_of_its_own_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(SpeechError, match="platform-voice"):
        platform_voice()
    with pytest.raises(SpeechError, match="platform-voice"):
        open_voice(platform=True)
