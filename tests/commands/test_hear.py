"""`benchcall hear` on recordings, through the real recognisers; and on what is no recording."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant.audio.recording import read
from assistant.audio.utterance import RATE
from assistant.shipped import shipped
from assistant.truth import known_sessions

SESSIONS = {session.name: session for session in known_sessions(shipped("demo_audio"))}


def benchcall(*arguments: str) -> subprocess.CompletedProcess[str]:
    program = "from assistant.commands import main; main()"
    return subprocess.run(
        [sys.executable, "-c", program, *arguments], capture_output=True, text=True, check=False
    )


def readings(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found = [json.loads(line) for line in done.stdout.splitlines()]
    return [line for line in found if line["kind"] == "reading"]


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Single utterances cut from a recording, each a file of its own, by their words."""
    folder = tmp_path_factory.mktemp("utterances")
    recording = SESSIONS["unit_31_clean"].recordings[0]
    samples = read(recording.path)
    paths = {}
    for known in recording.utterances:
        begin, end = int((known.start - 0.4) * RATE), int((known.end + 0.4) * RATE)
        path = folder / f"{known.words.replace(' ', '_')}.wav"
        soundfile.write(path, samples[max(0, begin) : end], RATE)
        paths[known.words] = path
    return paths


def test_a_spoken_negative_reading_comes_out_with_its_sign(said: dict[str, Path]) -> None:
    [reading] = readings(benchcall("hear", "--json", str(said["guide rear minus sixty five"])))
    assert (reading["quantity"], reading["position"]) == ("guide_signal", "rear")
    assert reading["value"] == "-65"
    assert reading["missing"] == ["station"], "nothing docks a mower because a value is negative"
    assert 0 < reading["start"] < reading["end"]


def test_each_recording_is_a_session_of_its_own_unless_together(said: dict[str, Path]) -> None:
    docked, after = "docked guide front one oh two", "guide rear minus sixty five"
    files = [str(said[docked]), str(said[after])]
    apart = readings(benchcall("hear", "--json", *files))
    assert len({r["session"] for r in apart}) == 2
    assert "station" not in apart[1]["context"]
    together = readings(benchcall("hear", "--json", "--together", *files))
    assert len({r["session"] for r in together}) == 1
    if together[0]["status"] == "accepted":
        assert together[1]["context"] == {"station": "docked"}


def test_one_ear_alone_asks_about_everything(said: dict[str, Path]) -> None:
    path = str(said["guide rear minus sixty five"])
    found = readings(benchcall("hear", "--json", "--ear", "pocketsphinx", path))
    assert {r["status"] for r in found} == {"asked"}


def test_an_onset_cut_so_that_minus_is_lost_is_asked(tmp_path: Path) -> None:
    """Both ears then agree on the wrong sign: only the missing quiet can tell."""
    recording = SESSIONS["unit_31_clean"].recordings[0]
    [known] = [u for u in recording.utterances if u.words == "guide rear minus sixty five"]
    samples = read(recording.path)
    length = known.end - known.start
    for share in (0.45, 0.55, 0.65):
        begin = int((known.start + share * length) * RATE)
        path = tmp_path / f"{share}.wav"
        soundfile.write(path, samples[begin : int((known.end + 0.5) * RATE)], RATE)
        done = benchcall("hear", "--json", "--expect", "guide_signal@rear", str(path))
        assert all(r["status"] == "asked" for r in readings(done)), share


@pytest.mark.parametrize("kind", ["silence", "hum", "white noise"])
def test_silence_and_noise_give_no_reading(tmp_path: Path, kind: str) -> None:
    time = np.arange(5 * RATE) / RATE
    sound = {
        "silence": np.zeros_like(time),
        "hum": 0.1 * np.sin(2 * np.pi * 50 * time),
        "white noise": 0.05 * np.random.default_rng(1).standard_normal(len(time)),
    }[kind]
    path = tmp_path / "noise.wav"
    soundfile.write(path, sound, RATE)
    assert readings(benchcall("hear", "--json", str(path))) == []


@pytest.mark.parametrize("name", ["missing.wav", "empty.wav", "text.wav", "folder"])
def test_what_is_no_recording_is_refused_with_a_sentence(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    if name == "folder":
        path.mkdir()
    elif name != "missing.wav":
        path.write_bytes(b"" if name == "empty.wav" else b"this is no sound at all" * 20)
    done = benchcall("hear", str(path))
    assert done.returncode == 1
    assert name in done.stderr
    assert "Traceback" not in done.stderr


def test_an_unknown_ear_or_quantity_is_refused_and_wrong_usage_is_two(tmp_path: Path) -> None:
    path = str(tmp_path / "a.wav")
    soundfile.write(path, np.zeros(RATE), RATE)
    done = benchcall("hear", "--ear", "nobody", path)
    assert (done.returncode, "pocketsphinx" in done.stderr) == (1, True)
    done = benchcall("hear", "--expect", "nothing_known", path)
    assert done.returncode == 1
    assert benchcall("hear").returncode == 2
