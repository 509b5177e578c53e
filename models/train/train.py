"""Trains an ear on a GPU (or, slowly, a CPU) from what synthesise.py has written so far.

    python -m models.train.train --sound DIR --whisper model.bin --out DIR --seconds 400

Reads along while the synthesisers still write. The learning rate falls to nothing at the end of
the given time, so that a run of any length ends well; ``--from`` goes on from a checkpoint.
Writes ``NAME.npz`` (half precision, the running average of the weights) and ``NAME.log``.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import time
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
from models.train.distance import distance
from models.train.network import Ear, ctranslate2_encoder

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


def batch_of(bank: Bank, filters: Tensor, seconds: float) -> tuple[Tensor, Tensor, Tensor]:
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
    flat = torch.tensor([c for row in targets for c in row], dtype=torch.long)
    counts = torch.tensor([len(row) for row in targets], dtype=torch.long)
    return mel, flat.to(bank.device), counts.to(bank.device)


def error_rate(ear: Ear, checks: dict[str, list[tuple[Tensor, list[int]]]]) -> dict[str, float]:
    """Greedy class error rate (%) by group of the held-out sound."""
    ear.eval()
    rates = {}
    with torch.no_grad():
        for group, items in checks.items():
            wrong = total = 0
            for mel, classes in items:
                best = ear(mel[None])[0].argmax(1).tolist()
                path = [c for i, c in enumerate(best) if c and (i == 0 or c != best[i - 1])]
                wrong += distance(path, classes)
                total += max(1, len(classes))
            rates[group] = round(100 * wrong / max(1, total), 1)
    ear.train()
    return rates


def held_out(path: Path, filters: Tensor, writes: str) -> dict[str, list[tuple[Tensor, list[int]]]]:
    """The checks that heldout.py packed, as features, by group."""
    from models.train.heldout import checked

    groups = defaultdict(list)
    for group, samples, note in checked(path):
        whole = torch.from_numpy(samples[: samples.size // 320 * 320].astype(np.float32) / 32768)
        mel = sound.log_mel(whole[None].to(filters.device), filters)[0]
        groups[group].append((mel, written(note, writes)))
    return dict(groups)


def rates_of(ear: Ear, top: float, decay: float) -> list[dict[str, object]]:
    """Parameter groups: the head fast, the encoder slower, lower layers slower by ``decay``."""
    groups = []
    for key, parameter in ear.named_parameters():
        if key.startswith("head"):
            rate = 5 * top
        else:
            count = len(ear.layers)
            depth = count - int(key.split(".")[1]) if key.startswith("layers") else count + 1
            depth = 0 if key.startswith("norm") else depth
            rate = top * decay**depth
        groups.append({"params": [parameter], "lr": rate, "top": rate})
    return groups


def save(path: Path, average: dict[str, Tensor]) -> None:
    arrays = {key: value.cpu().numpy().astype(np.float16) for key, value in average.items()}
    np.savez_compressed(path, **arrays)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sound", type=Path, required=True)
    parser.add_argument("--whisper", type=Path, required=True)
    parser.add_argument("--checks", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--name", default="own")
    parser.add_argument("--writes", choices=["phones", "letters"], default="phones")
    parser.add_argument("--without", type=int, help="every third speaker from this one on")
    parser.add_argument("--from", dest="begin", type=Path)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--batch", type=float, default=480, help="seconds of sound in a step")
    parser.add_argument("--rate", type=float, default=2.5e-4)
    parser.add_argument("--decay", type=float, default=1.0, help="rate factor a layer down")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    random.seed(arguments.seed), torch.manual_seed(arguments.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    ear = Ear(arguments.writes).to(device)
    ear.load_whisper(ctranslate2_encoder(arguments.whisper))
    if arguments.begin:
        arrays = np.load(arguments.begin)
        ear.load_state_dict(
            {key: torch.from_numpy(arrays[key].astype(np.float32)) for key in arrays}
        )
    groups = rates_of(ear, arguments.rate, arguments.decay)
    optimiser = torch.optim.AdamW(groups, betas=(0.9, 0.98), weight_decay=0.01)
    average = {key: value.detach().clone() for key, value in ear.state_dict().items()}
    filters = sound.mel_filters().to(device)
    checks = held_out(arguments.checks, filters, arguments.writes) if arguments.checks else {}
    bank = Bank(arguments.sound, device, arguments.writes, arguments.without)
    bank.refresh()
    log = (arguments.out / f"{arguments.name}.log").open("a", encoding="utf-8")
    started = time.monotonic()
    step, losses, next_refresh, next_report = 0, [], 20.0, 15.0
    while (elapsed := time.monotonic() - started) < arguments.seconds:
        if elapsed > next_refresh:
            bank.refresh()
            next_refresh = elapsed + 30
        done = elapsed / arguments.seconds
        factor = min(1.0, (step + 1) / 200) * (0.02 + 0.98 * 0.5 * (1 + math.cos(math.pi * done)))
        for group in optimiser.param_groups:
            group["lr"] = group["top"] * factor
        mel, flat, counts = batch_of(bank, filters, arguments.batch)
        with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
            scores = ear(mel, drop=0.05)
        lengths = torch.full((mel.shape[0],), scores.shape[1], dtype=torch.long, device=device)
        loss = functional.ctc_loss(
            scores.transpose(0, 1).float(), flat, lengths, counts, zero_infinity=True,
            reduction="none",
        )  # fmt: skip
        loss = loss.sum() / (counts.sum() + counts.numel())
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(ear.parameters(), 1.0)
        optimiser.step()
        with torch.no_grad():
            weight = min(0.999, (1 + step) / (10 + step))
            for key, value in ear.state_dict().items():
                average[key].lerp_(value, 1 - weight)
        losses.append(loss.detach())
        step += 1
        if elapsed > next_report:
            next_report = elapsed + 60
            mean = float(torch.stack(losses[-100:]).mean())
            line = f"{arguments.name} {elapsed:.0f} s step {step} loss {mean:.3f} {bank.hours()}"
            print(line, flush=True)
            log.write(line + "\n")
            save(arguments.out / f"{arguments.name}.npz", average)
    ear.load_state_dict(average)
    save(arguments.out / f"{arguments.name}.npz", average)
    line = f"{arguments.name} end: step {step} {bank.hours()} errors {error_rate(ear, checks)}"
    print(line, flush=True)
    log.write(line + "\n")


if __name__ == "__main__":
    main()
