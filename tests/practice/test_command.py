"""`benchcall practise` by voice: recordings, the microphone, the check of one's own voice.

The recognisers are stood in for by ears that hear what they are told, and the microphone by a
recording; all else is the program's own.
"""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from rich.console import Console
from typer.testing import CliRunner

from assistant.audio.recording import read, read_blocks
from assistant.audio.utterance import RATE, Utterance
from assistant.audio.write import write_wav
from assistant.commands import app
from assistant.errors import AudioError
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.practice import terminal
from assistant.practice.phrases import LEARNT_FROM, PHRASES
from assistant.practice.room import PracticeRoom
from assistant.practice.terminal import do, play_aloud
from assistant.practice.voice_terminal import from_microphone
from assistant.profile import read_profile
from assistant.shipped import shipped
from tests.practice.conftest import EXERCISES

DOCKED = shipped("demo_audio") / "unit_31_clean" / "1_docked.wav"


def hearing(name: str, said: str) -> EarHearing:
    """As if it had been said slowly, after half a second of quiet."""
    words = tuple(
        HeardWord(word, n / 2, n / 2 + 0.4, 1.0) for n, word in enumerate(said.split(), 1)
    )
    return EarHearing(name, (Hypothesis(words, 1.0),), open_vocabulary=name == "whisper")


class Ears:
    """Two that hear, one utterance after the other, what they are told; they may accept."""

    names = ("letters", "whisper")
    models: dict[str, str] = {}  # noqa: RUF012
    trusted = staticmethod(lambda *_: True)

    def __init__(self, *lines: str, whisper: Iterable[str] = ()) -> None:
        self._lines = iter(lines)
        self._told = {"letters": lines, "whisper": tuple(whisper) or lines}

    def listen(self, _: Utterance) -> Iterator[EarHearing]:
        said = next(self._lines, "")
        yield from (hearing(name, said) for name in self.names)

    def __iter__(self) -> Iterator[Any]:
        for name in self.names:
            lines = iter(self._told[name])
            hear = lambda _, name=name, lines=lines: hearing(name, next(lines))  # noqa: E731
            yield SimpleNamespace(name=name, hear=hear)


@pytest.fixture
def practise(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Runs the command with these ears; what the microphone hears is a recording."""

    def run(ears: Ears, *args: str, typed: str = "") -> str:
        @contextmanager
        def opened(*_: object) -> Iterator[Ears]:
            yield ears

        @contextmanager
        def microphone() -> Iterator[Any]:
            yield read_blocks(DOCKED)

        monkeypatch.setattr("assistant.hearing.ears.open_ears", opened)
        monkeypatch.setattr("assistant.audio.microphone.Microphone", microphone)
        home = {"BENCHCALL_HOME": str(tmp_path)}
        done = CliRunner().invoke(app, ["practise", *args], input=typed, env=home)
        assert done.exit_code == 0, done.output
        return done.output

    return run


def truth(recording: Path) -> list[str]:
    told = json.loads((recording.parent / "truth.json").read_text("utf-8"))
    [file] = [file for file in told["files"] if file["file"] == recording.name]
    return [said["words"] for said in file["utterances"]]


@pytest.mark.parametrize("how", [("--say", str(DOCKED)), ("--microphone",)])
def test_a_round_that_is_said_is_taken_down_and_judged_by_typing(
    practise: Any, how: tuple[str, ...]
) -> None:
    output = practise(Ears(*truth(DOCKED)), "listen_docked", *how, typed="done\nnone\n")
    assert "✓ boundary signal rear −237, docked" in output
    assert "100 of 100, passed" in output


def test_a_fault_is_searched_by_voice(room: PracticeRoom) -> None:
    said = "docked guide front", "check the colour", "guide rear"
    quiet = np.zeros(RATE * 6, np.float32)
    play = room.start(EXERCISES["fault_contacts"], ears=Ears(*said), trusted=Ears.trusted)
    out = io.StringIO()
    spoken = [Utterance(quiet, RATE, 0.0, 6.0, 1.0, 1.0, "mic") for _ in said]
    assert not do(play, Console(file=out, width=120), [], spoken=spoken)
    assert "guide signal front" in out.getvalue()
    assert "guide signal rear −" in out.getvalue()
    play.close()


def test_the_next_exercise_is_told_with_ones_initials(practise: Any) -> None:
    lines = "guide front 102, rear 98, undocked\ndone\nnone\n"
    output = practise(Ears(), "first_minute", "--who", "A. B.", typed=lines)
    assert '--who "A. B."' in output


def test_ctrl_c_ends_what_is_said_and_the_rest_is_typed(room: PracticeRoom) -> None:
    def stopped() -> Iterator[Utterance]:
        raise KeyboardInterrupt
        yield

    play = room.start(EXERCISES["first_minute"])
    lines = ["undocked guide front 102, rear 98", "done", "none"]
    assert do(play, Console(file=io.StringIO()), lines, spoken=stopped())
    assert play.done is not None
    assert play.done.score.total == 100
    play.close()


def test_a_recording_is_played_or_why_not_is_told(
    room: PracticeRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    played: list[int] = []
    device = SimpleNamespace(play=lambda sound, rate: played.append(rate))
    monkeypatch.setitem(sys.modules, "sounddevice", device)
    assert play_aloud(DOCKED) == ""
    assert played == [RATE]
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    out = io.StringIO()
    play = room.start(EXERCISES["listen_docked"])
    do(play, Console(file=out, width=200), ["again"], listen=play_aloud)
    assert out.getvalue().count("Not played here: ") == 2
    assert "Open it in any player." in out.getvalue()
    play.close()


def test_a_wrong_file_and_a_torn_line_are_told_beside_the_list(
    practise: Any, tmp_path: Path
) -> None:
    folder = tmp_path / "practice" / "exercises"
    folder.mkdir(parents=True)
    (folder / "mine.toml").write_text("no toml", "utf-8")
    (tmp_path / "practice" / "practised.jsonl").write_text("{torn", "utf-8")
    listed = " ".join(practise(Ears(), "--list").split())
    assert "mine.toml, line 1" in listed
    assert "practised.jsonl, line 1, was passed over" in listed
    assert "mine.toml, line 1" in practise(Ears(), "first_minute")
    assert "was passed over" in practise(Ears(), "--progress")


def recorded(folder: Path) -> Path:
    """Twenty recordings in which something is said; what it is the ears are told."""
    folder.mkdir()
    sound = read(DOCKED)[: 4 * RATE]
    for number in range(1, len(PHRASES) + 1):
        write_wav(folder / f"{number:02}.wav", sound)
    return folder


def test_ones_own_voice_is_checked_from_recordings_and_what_helps_is_written(
    practise: Any, tmp_path: Path
) -> None:
    """Whisper writes "guy" where this speaker says "guide"; as a name of it that is understood."""
    whisper = [phrase.replace("guide", "guy") for phrase in PHRASES]
    folder = str(recorded(tmp_path / "voice"))
    options = ("--voice", "--recordings", folder, "--who", "A. B.")
    output = " ".join(practise(Ears(*PHRASES, whisper=whisper), *options, typed="y\n").split())
    guides = sum("guide" in phrase for phrase in PHRASES)
    learnt = sum("guide" in phrase for phrase in LEARNT_FROM)
    assert "letters understood 20 of 20" in output
    assert f"whisper understood {20 - guides} of 20" in output
    assert f"“guide” as “guy”, {guides} times" in output
    assert f"writes “guy” for guide_signal, {learnt} times" in output
    held = 8 - (guides - learnt)
    assert f"whisper, on 8 phrases held out: {held} before, 7 now" in output  # not "guy resistance"
    own = tmp_path / "practice" / "my_robot_mower_ab.toml"
    assert f"benchcall listen --profile {own}" in output
    [guide] = [q for q in read_profile(own).quantity if q.id == "guide_signal"]
    assert "guy" in guide.spoken


def test_a_voice_that_every_ear_understands_needs_nothing(
    practise: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = Utterance(np.zeros(RATE, np.float32), RATE, 0.0, 1.0, 0.5, 0.5, "mic")
    monkeypatch.setattr("assistant.audio.segments.utterances", lambda *_: iter([sound] * 20))
    output = practise(Ears(*PHRASES), "--voice")
    assert f"20 of 20, say: {PHRASES[-1]}" in output
    assert "understood by two ears or more: 20 of 20" in output
    assert "Nothing was found that would help" in output
    assert not list((tmp_path / "practice").glob("my_*.toml"))


def test_a_microphone_that_ends_before_the_last_phrase_is_told() -> None:
    with pytest.raises(AudioError, match=r"ended before “undocked guide front .*begin again"):
        list(from_microphone(list, Console(file=io.StringIO())))


def test_what_cannot_be_written_of_ones_own_profile_is_told_and_ends_nothing(
    practise: Any, tmp_path: Path
) -> None:
    (tmp_path / "practice").write_text("no folder")
    whisper = [phrase.replace("guide", "guy") for phrase in PHRASES]
    options = ("--voice", "--recordings", str(recorded(tmp_path / "voice")))
    output = practise(Ears(*PHRASES, whisper=whisper), *options, typed="y\n")
    assert "can't be written" in " ".join(output.split())


def test_a_pipe_shows_what_was_typed_and_a_keyboard_does_it_itself(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Keyboard(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.setattr("sys.stdin", io.StringIO("docked\x1b\n"))
    assert list(terminal.typed_lines()) == ["docked\x1b\n"]
    assert capsys.readouterr().out == "docked\ufffd\n"
    monkeypatch.setattr("sys.stdin", Keyboard("docked\n"))
    assert list(terminal.typed_lines()) == ["docked\n"]
    assert capsys.readouterr().out == ""
