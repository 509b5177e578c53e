"""Speaks a job file with one synthesiser on many cores, for as long as it is given.

Each worker appends to ``NAME_I.pcm`` (16-bit mono, 16 kHz, silence trimmed, peak 0.7) and then to
``NAME_I.jsonl`` (speaker, kind, start sample, length, classes, words): training can read along.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import random
import time
from pathlib import Path

import numpy as np
from scipy.signal import resample_poly

from models.train.voices import Espeak, Flite, Kokoro, Sound

RATE = 16000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--parts", type=Path, required=True, help="folder of the synthesiser")
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=1e9)
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    lines = arguments.jobs.read_text(encoding="utf-8").splitlines()
    # Whole speakers stay with one worker, so that their words can be spliced together early.
    shares: list[list[str]] = [[] for _ in range(arguments.workers)]
    for line in lines:
        shares[json.loads(line)["speaker"] % arguments.workers].append(line)
    end = time.monotonic() + arguments.seconds
    workers = [
        multiprocessing.Process(target=_work, args=(arguments, index, share, end))
        for index, share in enumerate(shares)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()


def _work(arguments: argparse.Namespace, index: int, lines: list[str], end: float) -> None:
    os.nice(10)
    random.seed(index)
    if not lines:
        return
    engine = json.loads(lines[0])["engine"]
    speaker = _engine(engine, arguments.parts, index)
    at = 0
    name = f"{engine}_{index}"
    with (
        (arguments.out / f"{name}.pcm").open("ab") as sound,
        (arguments.out / f"{name}.jsonl").open("a", encoding="utf-8") as notes,
    ):
        for line in lines:
            if time.monotonic() > end:
                break
            job = json.loads(line)
            samples = trimmed(to_16k(speaker.speak(job)))
            if samples.size < RATE // 10:
                continue
            samples.tofile(sound)
            sound.flush()
            note = {"speaker": f"{engine}{job['speaker']}", "kind": job["kind"], "start": at,
                    "length": int(samples.size), "classes": job["classes"],
                    "words": job["words"]}  # fmt: skip
            notes.write(json.dumps(note) + "\n")
            notes.flush()
            at += samples.size


def _engine(name: str, parts: Path, worker: int) -> Espeak | Flite | Kokoro:
    if name == "espeak":
        return Espeak(parts / "libespeak-ng.so", parts / "espeak-ng-data")
    if name == "flite":
        return Flite(parts / "flite")
    return Kokoro(parts / "kokoro.onnx", parts / "styles.npz", parts / "vocab.json", worker)


def to_16k(sound: Sound) -> np.ndarray:
    samples, rate = sound
    if rate == RATE:
        return samples
    common = np.gcd(rate, RATE)
    return resample_poly(samples, RATE // common, rate // common).astype(np.float32)


def trimmed(samples: np.ndarray) -> np.ndarray:
    """16-bit samples without the silence before and after, 30 ms kept on each side."""
    peak = float(np.abs(samples).max(initial=0.0))
    if peak < 1e-4:
        return np.zeros(0, np.int16)
    loud = np.flatnonzero(np.abs(samples) > 0.015 * peak)
    first, last = max(0, loud[0] - 480), loud[-1] + 480
    return (samples[first:last] * (0.7 / peak) * 32767).astype(np.int16)


if __name__ == "__main__":
    main()
