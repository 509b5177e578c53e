"""The speech that synthesise.py has written so far, on the GPU, and batches of it, spoilt.

A batch is of one length; each row holds phrases, or single words spliced with pauses, of one
speaker, and one row in nine nothing at all.
"""

from __future__ import annotations

import json
import math
import random
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from assistant.hearing.spelling import Speller
from models.train import sound

RATE = sound.RATE
SHARES = {"kokoro": 0.7, "espeak": 0.1, "flite": 0.2}
SHORT = {"word", "lone"}
WINDOWS = (1.6, 2.4, 3.2, 4.4, 6.0, 9.0)  # s, whole tenths: lengths that FFTs like


def written(note: dict[str, Any], writes: str) -> list[int]:
    """The classes of what was said, in phones or in letters."""
    if writes == "phones":
        return list(note["classes"])
    return [c for word in note["words"].split() for c in Speller().classes(word)[0]]


@dataclass
class Bank:
    """All synthesised speech so far, on the GPU, by engine and speaker."""

    folder: Path
    device: torch.device
    writes: str = "phones"
    without: int | None = None
    """Leaves out every third speaker, from this number on."""
    pieces: list[Tensor] = field(default_factory=list)
    read: dict[str, tuple[int, int]] = field(default_factory=dict)  # lines, samples so far
    speakers: dict[str, dict[str, list[tuple[int, int, int, list[int], str]]]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(list))
    )
    names: dict[str, list[str]] = field(default_factory=dict)
    samples: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def refresh(self) -> None:
        for notes in sorted(self.folder.glob("*.jsonl")):
            seen, start = self.read.get(notes.stem, (0, 0))
            text = notes.read_text(encoding="utf-8")
            lines = text[: text.rfind("\n") + 1].splitlines()[seen:]
            if not lines:
                continue
            items = [json.loads(line) for line in lines]
            end = items[-1]["start"] + items[-1]["length"]
            raw = np.fromfile(
                notes.with_suffix(".pcm"), np.int16, count=end - start, offset=2 * start
            )
            self.pieces.append(torch.from_numpy(raw).to(self.device))
            engine = notes.stem.split("_")[0]
            for item in items:
                number = int(item["speaker"].removeprefix(engine))
                if self.without is not None and number % 3 == self.without:
                    continue
                self.speakers[engine][item["speaker"]].append(
                    (len(self.pieces) - 1, item["start"] - start, item["length"],
                     written(item, self.writes), item["kind"])
                )  # fmt: skip
            self.samples[engine] += end - start
            self.read[notes.stem] = (seen + len(lines), end)
        self.names = {engine: list(people) for engine, people in self.speakers.items()}

    def hours(self) -> str:
        return " ".join(f"{e} {n / RATE / 3600:.2f} h" for e, n in self.samples.items())

    def speaker(self) -> list[tuple[int, int, int, list[int], str]]:
        engines = list(self.names)
        # A synthesiser that has just begun is not played over and over.
        weights = [SHARES.get(e, 0.2) * min(1.0, self.samples[e] / RATE / 1800) for e in engines]
        engine = random.choices(engines, weights)[0]
        return self.speakers[engine][random.choice(self.names[engine])]


def compose(bank: Bank, batch: int, samples: int) -> tuple[Tensor, list[list[int]], Tensor]:
    """Fills windows with one speaker's phrases, or single words, with pauses between."""
    speech = torch.zeros(batch, samples, device=bank.device)
    targets: list[list[int]] = []
    empty = torch.zeros(batch, dtype=torch.bool, device=bank.device)
    for row in range(batch):
        classes: list[int] = []
        if random.random() < 0.11:
            empty[row] = True
            targets.append(classes)
            continue
        items = bank.speaker()
        words = [item for item in items if item[4] in SHORT]
        splice = len(words) >= 2 and random.random() < 0.3
        pool = words if splice else items
        at = int(random.choice([0.0, 0.05, 0.2, 0.5]) * random.random() * RATE)
        at = min(at, samples // 8)
        for attempt in range(12):
            piece, start, length, labels, _ = random.choice(pool)
            cut = int(random.random() * 0.03 * RATE) if random.random() < 0.1 else 0
            if at + length - cut > samples:
                if classes or attempt < 9:
                    if classes and attempt > 3:
                        break
                    continue
                break
            loud = 10 ** (random.uniform(-5, 3) / 20) / 32768
            speech[row, at : at + length - cut].add_(
                bank.pieces[piece][start + cut : start + length], alpha=loud
            )
            classes += labels
            pause = random.uniform(0.0, 0.35) if splice else random.uniform(0.1, 0.9)
            at += length - cut + int(pause * RATE)
            if not splice and random.random() < 0.5:
                break
        if not classes:
            empty[row] = True
        targets.append(classes)
    return speech, targets, empty


def batch_of(
    bank: Bank, filters: Tensor, seconds: float, blots: bool
) -> tuple[Tensor, Tensor, Tensor]:
    """Features, the classes of all rows one after another, and how many each row has."""
    window = random.choices(WINDOWS, [1, 2, 3, 3, 2, 1])[0]
    rows = max(2, int(seconds / window))
    samples = round(window * RATE)
    speed = random.uniform(0.86, 1.17) if random.random() < 0.75 else 1.0
    speech, targets, empty = compose(bank, rows, math.ceil(samples * speed / 1600) * 1600)
    if speech.shape[1] != samples:
        speech = functional.interpolate(
            speech[:, None], samples, mode="linear", align_corners=False
        )[:, 0]
    mel = sound.log_mel(sound.spoiled(speech, empty), filters)
    mel = sound.masked(sound.warped(mel))
    mel = sound.blotted(mel) if blots else mel
    flat = torch.tensor([c for row in targets for c in row], dtype=torch.long)
    counts = torch.tensor([len(row) for row in targets], dtype=torch.long)
    return mel, flat.to(bank.device), counts.to(bank.device)
