"""Trains an ear on a GPU (or, slowly, a CPU) from what synthesise.py has written so far.

    python -m models.train.train --sound DIR --whisper model.bin --out DIR --seconds 400

Reads along while the synthesisers still write. The learning rate falls to nothing at the end of
the given time, so that a run of any length ends well. With ``--lap`` a run pauses after so many
seconds and keeps all it needs in ``NAME.state``; the same command then goes on. ``--from`` starts
from the weights of another run, a checkpoint or an exported ear. Writes ``NAME.npz`` (half
precision, the running average of the weights) and ``NAME.log``.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
import time
from collections import defaultdict
from pathlib import Path

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from models.train import sound
from models.train.bank import Bank, batch_of, written
from models.train.distance import distance
from models.train.export import weights_of
from models.train.low_rank import keep_but_low_rank, merge
from models.train.network import LAYERS, Ear, ctranslate2_encoder


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
        if not parameter.requires_grad:
            continue
        if key.startswith("head") or "parametrizations" in key:
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
    parser.add_argument("--layers", type=int, default=LAYERS)
    parser.add_argument("--recurrent", action="store_true", help="the head, not a convolution")
    parser.add_argument("--rank", type=int, help="low-rank changes of the encoder only")
    parser.add_argument("--blots", action="store_true", help="loud patches over the features")
    parser.add_argument("--without", type=int, help="every third speaker from this one on")
    parser.add_argument("--from", dest="begin", type=Path)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--lap", type=float, default=1e9, help="seconds before a pause")
    parser.add_argument("--batch", type=float, default=480, help="seconds of sound in a step")
    parser.add_argument("--rate", type=float, default=2.5e-4)
    parser.add_argument("--decay", type=float, default=1.0, help="rate factor a layer down")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    random.seed(arguments.seed), torch.manual_seed(arguments.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    ear = Ear(arguments.writes, arguments.layers, arguments.recurrent)
    ear.load_whisper(ctranslate2_encoder(arguments.whisper))
    if arguments.begin:
        ear.load_other(weights_of(arguments.begin))
    if arguments.rank:
        keep_but_low_rank(ear, arguments.rank)
    ear.to(device)
    groups = rates_of(ear, arguments.rate, arguments.decay)
    optimiser = torch.optim.AdamW(groups, betas=(0.9, 0.98), weight_decay=0.01)
    average = {key: value.detach().clone() for key, value in ear.state_dict().items()}
    filters = sound.mel_filters().to(device)
    checks = held_out(arguments.checks, filters, arguments.writes) if arguments.checks else {}
    bank = Bank(arguments.sound, device, arguments.writes, arguments.without)
    bank.refresh()
    if not bank.names:
        sys.exit(
            f"No speech for {arguments.name} in {arguments.sound}: let synthesise.py speak first "
            "(more than two speakers, where every third is left out)."
        )
    log = (arguments.out / f"{arguments.name}.log").open("a", encoding="utf-8")
    step, before, losses = 0, 0.0, []
    paused = arguments.out / f"{arguments.name}.state"
    if paused.exists():
        state = torch.load(paused, map_location=device)
        ear.load_state_dict(state["ear"]), optimiser.load_state_dict(state["optimiser"])
        average, step, before = state["average"], state["step"], state["elapsed"]
        random.seed(arguments.seed + step), torch.manual_seed(arguments.seed + step)
    started = time.monotonic() - before
    next_refresh, next_report = before + 20.0, before + 15.0
    while (elapsed := time.monotonic() - started) < arguments.seconds:
        if elapsed > before + arguments.lap:
            torch.save({"ear": ear.state_dict(), "optimiser": optimiser.state_dict(),
                        "average": average, "step": step, "elapsed": elapsed}, paused)  # fmt: skip
            print(f"{arguments.name} paused after {elapsed:.0f} s; the same command goes on")
            return
        if elapsed > next_refresh:
            bank.refresh()
            next_refresh = elapsed + 30
        done = elapsed / arguments.seconds
        factor = min(1.0, (step + 1) / 200) * (0.02 + 0.98 * 0.5 * (1 + math.cos(math.pi * done)))
        for group in optimiser.param_groups:
            group["lr"] = group["top"] * factor
        mel, flat, counts = batch_of(bank, filters, arguments.batch, arguments.blots)
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
    merge(ear)
    save(arguments.out / f"{arguments.name}.npz", ear.state_dict())
    paused.unlink(missing_ok=True)
    line = f"{arguments.name} end: step {step} {bank.hours()} errors {error_rate(ear, checks)}"
    print(line, flush=True)
    log.write(line + "\n")


if __name__ == "__main__":
    main()
