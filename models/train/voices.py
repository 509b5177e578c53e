"""The three synthesisers that speak the training texts, each with many invented speakers.

``speak(job) -> (samples, rate)``: the job's speaker number decides voice, blend, pitch and pace,
so all jobs of one speaker sound like one person. Held out from training: three Kokoro styles
(and piper's joe and every recorded human, which no code here knows).
"""

from __future__ import annotations

import ctypes
import json
import math
import random
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from assistant.hearing.espeak_ipa import DONT_EXIT, SYNCHRONOUS

Job = dict[str, Any]
Sound = tuple[np.ndarray, int]

HELD_OUT_STYLES = ("jf_nezumi", "am_michael", "bf_isabella")
ACCENTS = ["en-us", "en-gb", "en-gb-x-rp", "en-gb-scotland", "en-gb-x-gbclan", "en-gb-x-gbcwmd",
           "en-029", "en-us"]  # fmt: skip
VARIANTS = [
            "m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8", "f1", "f2", "f3", "f4", "f5", "klatt",
            "klatt2", "klatt3", "klatt4", "klatt5", "klatt6", "Alex", "Andy", "Annie", "Gene",
            "Lee", "Mario", "Michael", "adam", "belinda", "david", "ed", "edward", "iven", "linda",
            "max", "michel", "paul", "quincy", "rob", "robert", "steph", "travis", "zac",
]  # fmt: skip
FLITE_VOICES = ["slt", "rms", "awb", "kal16"]


class Espeak:
    """eSpeak NG through its C interface; ``folder`` holds espeak-ng-data."""

    def __init__(self, library: Path, folder: Path) -> None:
        self._library = ctypes.CDLL(str(library))
        self._rate = self._library.espeak_Initialize(
            SYNCHRONOUS, 0, str(folder).encode(), DONT_EXIT
        )
        self._pieces: list[np.ndarray] = []
        prototype = ctypes.CFUNCTYPE(
            ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
        )

        def keep(samples: Any, count: int, _event: int | None) -> int:
            if samples and count > 0:
                self._pieces.append(np.ctypeslib.as_array(samples, (count,)).copy())
            return 0

        self._keep = prototype(keep)
        self._library.espeak_SetSynthCallback(self._keep)

    def speak(self, job: Job) -> Sound:
        rng = random.Random(f"espeak {job['speaker']}")
        voice = f"{rng.choice(ACCENTS)}+{rng.choice(VARIANTS)}"
        self._library.espeak_SetVoiceByName(voice.encode())
        pitch, span, pace = rng.randint(20, 80), rng.randint(20, 80), rng.randint(115, 210)
        pace = int(pace * random.uniform(0.9, 1.1))
        for parameter, value in ((1, pace), (3, pitch), (4, span)):
            self._library.espeak_SetParameter(parameter, value, 0)
        self._pieces.clear()
        text = job["text"].encode()
        utf8 = 1
        self._library.espeak_Synth(text, len(text) + 1, 0, 1, 0, utf8, None, None)
        samples = np.concatenate([*self._pieces, np.zeros(1, np.int16)])
        return samples.astype(np.float32) / 32768, self._rate


class Flite:
    """flite's built-in voices through its command."""

    def __init__(self, command: Path) -> None:
        self._command = str(command)

    def speak(self, job: Job) -> Sound:
        import scipy.io.wavfile

        rng = random.Random(f"flite {job['speaker']}")
        voice = FLITE_VOICES[job["speaker"] % len(FLITE_VOICES)]
        stretch = rng.uniform(0.8, 1.4) * random.uniform(0.92, 1.08)
        mean = rng.uniform(150, 230) if voice == "slt" else rng.uniform(80, 150)
        spread = rng.uniform(8, 28)
        with tempfile.NamedTemporaryFile(suffix=".wav") as out:
            subprocess.run(
                [self._command, "-voice", voice, "--setf", f"duration_stretch={stretch:.2f}",
                 "--setf", f"int_f0_target_mean={mean:.0f}", "--setf",
                 f"int_f0_target_stddev={spread:.0f}", "-t", job["text"], "-o", out.name],
                check=True, capture_output=True,
            )  # fmt: skip
            rate, samples = scipy.io.wavfile.read(out.name)
        return samples.astype(np.float32) / 32768, rate


# eSpeak NG's IPA in the letters that Kokoro was trained on (its vocabulary's diphthongs).
_KOKORO = [("eɪ", "A"), ("aɪ", "I"), ("ɔɪ", "Y"), ("aʊ", "W"), ("tʃ", "ʧ"), ("dʒ", "ʤ"),
           ("ɐ", "ə"), ("ɚ", "əɹ"), ("r", "ɹ"), ("ɾ", "T"), ("x", "k"), ("ç", "k"),
           ("ʲ", "")]  # fmt: skip


def kokoro_phonemes(ipa: list[str], british: bool) -> str:
    """Kokoro's phoneme string of clauses in eSpeak NG's IPA."""
    text = ", ".join(ipa)
    pairs = [*_KOKORO, ("əʊ", "Q"), ("oʊ", "Q")] if british else [
        *_KOKORO, ("oʊ", "O"), ("əʊ", "O"), ("ɜː", "ɜɹ"), ("ː", "")]  # fmt: skip
    if not british:
        text = text.replace("ɜːɹ", "ɜɹ")
    for old, new in pairs:
        text = text.replace(old, new)
    return text.replace("\u0361", "").replace("̩", "")


class Kokoro:
    """Kokoro-82M, its styles blended into new speakers: on a GPU if there is one, else one core.

    Of several GPUs the one whose turn it is by ``worker``.
    """

    def __init__(self, model: Path, styles: Path, vocabulary: Path, worker: int = 0) -> None:
        self._run = _graph(model, worker)
        self._styles = {name: each.astype(np.float32) for name, each in np.load(styles).items()}
        self._vocabulary = json.loads(vocabulary.read_text(encoding="utf-8"))["vocab"]
        named = sorted(name for name in self._styles if name not in HELD_OUT_STYLES)
        self._english = [name for name in named if name[0] in "ab"]
        self._foreign = [name for name in named if name[0] not in "ab"]

    def speak(self, job: Job) -> Sound:
        rng = random.Random(f"kokoro {job['speaker']}")
        # Timbre (first half of a style) and manner (second half) are blended apart.
        timbre, manner = self._blend(rng, 0.35), self._blend(rng, 0.15)
        pace = math.exp(rng.gauss(0.02, 0.17)) * random.uniform(0.94, 1.06)
        british = job["speaker"] % 2 == 1
        phonemes = kokoro_phonemes(job["ipa"], british) + random.choice([".", ".", ",", "", "?"])
        tokens = self.tokens(phonemes)
        place = len(tokens)
        style = np.concatenate([timbre[place][:, :128], manner[place][:, 128:]], axis=1)
        return self.say(tokens, style, min(1.6, max(0.6, pace)))

    def tokens(self, phonemes: str) -> list[int]:
        """At most as many as the styles are told apart for."""
        longest = len(next(iter(self._styles.values()))) - 1
        return [self._vocabulary[c] for c in phonemes if c in self._vocabulary][:longest]

    def style(self, name: str, length: int) -> np.ndarray:
        """[1, 256] of one given voice for so many tokens."""
        return self._styles[name][length]

    def _blend(self, rng: random.Random, foreign: float) -> np.ndarray:
        """One to three styles in random parts, now and then past one of them."""
        kin = self._foreign if self._foreign and rng.random() < foreign else self._english
        kin = kin or self._foreign
        names = rng.sample(kin, min(len(kin), rng.choice([1, 2, 2, 3])))
        parts = np.array([rng.gammavariate(1.0, 1.0) for _ in names])
        parts = parts / parts.sum() * 1.2 - 0.2 / len(names)
        return sum(part * self._styles[name] for part, name in zip(parts, names, strict=True))

    def say(self, tokens: list[int], style: np.ndarray, pace: float) -> Sound:
        audio = self._run(
            {
                "tokens": np.array([[0, *tokens, 0]], np.int64),
                "style": style.astype(np.float32),
                "speed": np.array([pace], np.float32),
            },
        )
        return np.asarray(audio, np.float32).ravel(), 24000


def _graph(model: Path, worker: int) -> Callable[[dict[str, np.ndarray]], np.ndarray]:
    try:
        import torch
    except ImportError:
        torch = None
    if torch is not None and torch.cuda.is_available():
        import onnx

        from models.train.floats import in_floats
        from models.train.torch_graph import Graph

        card = torch.device("cuda", worker % torch.cuda.device_count())
        torch.set_num_threads(1)
        return Graph(in_floats(onnx.load(model)), card)
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = onnxruntime.InferenceSession(str(model), options, providers=["CPUExecutionProvider"])
    return lambda feeds: session.run(None, feeds)[0]
