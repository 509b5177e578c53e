"""What it helps an ear to clean the sound first: every way beside hearing it as it is.

    python -m models.train.heldout --out DIR          (speaks the held-out recordings, once)
    python tests/benchmarks/noise_ways.py DIR [--count 60] [--voices joe human]

Each recording is heard amid one of six kinds of noise at 15 and at 5 dB. Right is a phrase of
which the parser makes exactly what was said. "Two ways agree" takes only what the sound as it is
and the gated sound both gave: right ones, and wrong ones in brackets. pyrnnoise and noisereduce are
tried where they are installed (``pip install pyrnnoise noisereduce``).
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import soxr
from numpy.typing import NDArray
from scipy.signal import butter, sosfiltfilt

sys.path[:0] = [str(Path(__file__).parents[2])]

from assistant.audio.utterance import RATE, Utterance  # noqa: E402
from assistant.hearing import denoise, pocketsphinx_ear  # noqa: E402
from assistant.hearing.ears import open_ears  # noqa: E402
from assistant.hearing.pocketsphinx_ear import PocketsphinxEar  # noqa: E402
from assistant.hearing.recogniser import Recogniser  # noqa: E402
from assistant.profile import load_profile, load_spoken  # noqa: E402
from assistant.wording.parser import Parser  # noqa: E402
from models.train.evaluate import meaning  # noqa: E402
from models.train.heldout import SEEN_NOISES, UNSEEN_NOISES, load, noisy  # noqa: E402

Samples = NDArray[np.float32]
Way = Callable[[Utterance], Samples]
MARGIN = RATE // 2
NOISES = (*UNSEEN_NOISES, *SEEN_NOISES)
EARS = ("own", "letters", "pocketsphinx")


def as_it_is(utterance: Utterance) -> Samples:
    return utterance.samples


def gated(utterance: Utterance) -> Samples:
    return denoise.denoise(utterance)


def band_limited(utterance: Utterance) -> Samples:
    """200 to 6,000 Hz, what a small microphone leaves of speech."""
    band = butter(4, [200, 6000], "bandpass", fs=RATE, output="sos")
    return np.asarray(sosfiltfilt(band, utterance.samples), np.float32)


def levelled(utterance: Utterance) -> Samples:
    """The same power, -20 dB of full scale, however loud it was."""
    power = float(np.sqrt(np.mean(utterance.samples**2))) + 1e-9
    return np.clip(utterance.samples * (0.1 / power), -1, 1).astype(np.float32)


def stationary(utterance: Utterance) -> Samples:
    from noisereduce import reduce_noise

    return np.asarray(reduce_noise(utterance.samples, RATE, stationary=True), np.float32)


def recurrent(utterance: Utterance) -> Samples:
    """pyrnnoise, a small recurrent net that works at 48 kHz."""
    from pyrnnoise import RNNoise

    wide = soxr.resample(utterance.samples, RATE, 48_000)
    pcm = np.round(np.clip(wide, -1, 1) * 32767).astype(np.int16)
    parts = [frame for _, frame in RNNoise(48_000).denoise_chunk(pcm[None, :], partial=True)]
    clean = np.concatenate([part.reshape(-1) for part in parts]).astype(np.float32) / 32768
    return np.asarray(soxr.resample(clean, 48_000, RATE), np.float32)[: len(utterance.samples)]


def ways() -> dict[str, Way]:
    known: dict[str, Way] = {
        "as it is": as_it_is,
        "gate in every band": gated,
        "200 to 6,000 Hz": band_limited,
        "one level": levelled,
    }
    if importlib.util.find_spec("noisereduce"):
        known["noisereduce, stationary"] = stationary
    if importlib.util.find_spec("pyrnnoise"):
        known["pyrnnoise"] = recurrent
    return known


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("folder", type=Path)
    arguments.add_argument("--voices", nargs="+", default=["joe", "human"])
    arguments.add_argument("--count", type=int, default=60, help="recordings of a voice")
    given = arguments.parse_args()
    # Cleaning is what is tried here, so this ear must not do its own.
    pocketsphinx_ear.denoise = as_it_is
    profile, spoken = load_profile(), load_spoken()
    parser = Parser(profile, spoken)
    recordings = [pair for v in given.voices for pair in load(given.folder, v)[: given.count]]
    right: Counter[tuple[str, str, int]] = Counter()
    wrong: Counter[tuple[str, int]] = Counter()
    agreed, alone = "two ways agree", "each utterance by itself"

    def understood(ear: Recogniser, utterance: Utterance) -> object:
        hearing = ear.hear(utterance)
        return meaning(parser, hearing.hypotheses[0].text if hearing.hypotheses else "")

    with open_ears(profile, spoken, EARS) as ears:
        for seed, (text, clean) in enumerate(recordings):
            print(f"\r{seed + 1} of {len(recordings)}", end="", file=sys.stderr, flush=True)
            said = meaning(parser, text)
            for level in (15, 5):
                sound = noisy(np.pad(clean, MARGIN), NOISES[seed % len(NOISES)], level, seed)
                samples = sound.astype(np.float32) / 32768
                seconds = len(samples) / RATE
                utterance = Utterance(samples, RATE, 0.0, seconds, 0.5, 0.5, "heldout")
                heard: dict[tuple[str, str], object] = {}
                for way, clean_up in ways().items():
                    cleaned = replace(utterance, samples=clean_up(utterance))
                    for ear in ears:
                        heard[way, ear.name] = understood(ear, cleaned)
                for ear in ears:
                    if isinstance(ear, PocketsphinxEar):
                        ear.begin()  # forgets the spectrum's mean that it carries on
                        heard[alone, ear.name] = understood(ear, utterance)
                for (way, name), found in heard.items():
                    right[way, name, level] += found == said
                for name in EARS:
                    first, second = heard["as it is", name], heard["gate in every band", name]
                    right[agreed, name, level] += first == second == said
                    wrong[name, level] += bool(first) and first == second != said
    print("\n| % of phrases right | " + " | ".join(f"{e}, {n} dB" for e in EARS for n in (15, 5)))
    for way in dict.fromkeys(way for way, _, _ in right):
        cells = []
        for name in EARS:
            for level in (15, 5):
                share = f"{100 * right[way, name, level] / len(recordings):.1f}"
                if way == agreed:
                    share += f" ({100 * wrong[name, level] / len(recordings):.1f})"
                cells.append(share if (way, name, level) in right else "")
        print(f"| {way} | " + " | ".join(cells) + " |")


if __name__ == "__main__":
    main()
