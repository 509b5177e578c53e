from __future__ import annotations

import contextlib
import importlib
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import SpeechError
from assistant.speaking.espeak_process import HEADER
from assistant.speaking.platform_voice import command, platform_voice
from assistant.speaking.voice import COMMAND, EspeakVoice, open_voice


@pytest.fixture
def voice() -> Iterator[EspeakVoice]:
    voice = EspeakVoice()
    yield voice
    voice.close()


def failing(code: str, patience: float = 30.0) -> EspeakVoice:
    return EspeakVoice(patience=patience, command=(sys.executable, "-c", code))


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
    voice = failing("import sys; sys.stdin.read()", patience=0.2)
    with pytest.raises(SpeechError, match="did not answer"):
        voice.say("one")
    assert voice._process is None


def test_an_unknown_voice_is_refused() -> None:
    voice = EspeakVoice(voice="nobody")
    with pytest.raises(SpeechError, match="choose another"):
        voice.say("one")
    voice.close()
    voice.close()


def test_the_voice_process_answers_each_request_with_a_rate_a_length_and_the_sound() -> None:
    """As its docstring fixes it, and until its input ends; nothing for a voice it doesn't have."""
    manner = {"voice": "en-us+f5", "words_per_minute": 160, "word_gap": 0}
    requests = [{"text": "one zero two", **manner}, {"text": "one", **manner, "voice": "nobody"}]
    lines = "".join(f"{json.dumps(request)}\n" for request in requests)
    done = subprocess.run(COMMAND, input=lines.encode(), capture_output=True, check=True)
    rate, length = HEADER.unpack_from(done.stdout)
    assert 1.0 < length / 2 / rate < 4.0
    assert np.abs(np.frombuffer(done.stdout, "<i2", length // 2, HEADER.size)).max() > 1000
    assert done.stdout[HEADER.size + length :] == HEADER.pack(rate, 0)


def test_the_text_is_never_part_of_a_platform_command() -> None:
    assert command("say", Path("a.wav"))[0] == "say"
    assert command("say", Path("a.wav"))[-2:] == ["-f", "-"]  # words come on standard input
    assert "$env:BENCHCALL_TEXT" in command("powershell", Path("a.wav"))[-1]


@pytest.fixture
def mac(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A computer that says it is a Mac; its "say" writes a sample for each byte that it reads."""
    importlib.import_module("soundfile")  # which looks for its library by the real platform
    program = tmp_path / "say"
    program.write_text(
        f"#!{sys.executable}\n"
        "import sys, wave\n"
        "words = sys.stdin.buffer.read()\n"
        "with wave.open(sys.argv[sys.argv.index('-o') + 1], 'wb') as out:\n"
        "    out.setnchannels(1), out.setsampwidth(2), out.setframerate(22050)\n"
        "    out.writeframes(b'\\0\\x40' * len(words))\n"
    )
    program.chmod(0o755)
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setenv("PATH", str(tmp_path))
    return program


def test_the_platform_s_voice_gives_what_its_command_wrote(mac: Path) -> None:
    voice = open_voice(platform=True)
    samples, rate = voice.say("one zero two")
    assert rate == 22050
    assert samples.tolist() == [0.5] * len("one zero two")
    voice.close()


def test_a_platform_s_voice_that_fails_says_what_to_do(mac: Path) -> None:
    voice = open_voice(platform=True)
    mac.write_text(f"#!{sys.executable}\nraise SystemExit(1)\n")
    with pytest.raises(SpeechError, match="without --platform-voice"):
        voice.say("one zero two")


def test_a_platform_without_a_voice_of_its_own_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(SpeechError, match="platform-voice"):
        platform_voice()
    with pytest.raises(SpeechError, match="platform-voice"):
        open_voice(platform=True)
