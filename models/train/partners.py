"""How often two shipped ears agree on held-out recordings, and how often they agree on a mistake.

    python -m models.train.partners --heldout DIR --own own.onnx --letters letters.onnx

Every recording is heard clean and amid each kind of noise. Two ears agree where the parser makes
the same of what each likes best. An ear's certainty of a meaning is the share of its phrases that
have it, as log odds (nats): the distance of the best phrase to those that mean something else. The
table counts agreements and, of these, mistakes, and what stays when both must be so certain that
no mistake is left.
"""

from __future__ import annotations

import argparse
import json
import math
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np

from assistant.hearing.letters import LettersEar
from assistant.hearing.own import OwnEar
from assistant.profile.load import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.wording.parser import Parser
from models.train.evaluate import MARGIN, meaning, utterance
from models.train.heldout import SEEN_NOISES, UNSEEN_NOISES, load, noisy

KINDS = {"own": OwnEar, "letters": LettersEar}
CONDITIONS = [(None, None), *((15, k) for k in (*UNSEEN_NOISES, *SEEN_NOISES)),
              *((5, k) for k in (*UNSEEN_NOISES, *SEEN_NOISES))]  # fmt: skip
_ears: dict[str, Any] = {}
_parser: list[Parser] = []


def _open(models: dict[str, Path]) -> None:
    profile, spoken = load_profile(), load_spoken()
    graph = word_graph(profile, spoken)
    said = {**spoken.pronunciations, **profile.profile.pronunciations}
    for name, path in models.items():
        _ears[name] = KINDS[name.split(":")[0]](graph, said, path, other=True)
    _parser.append(Parser(profile, spoken))


def _heard(task: tuple[str, str, np.ndarray, int]) -> list[dict[str, Any]]:
    """What each ear makes of one recording in every condition."""
    voice, text, clean, seed = task
    parser, rows = _parser[0], []
    wanted = meaning(parser, text)
    for ratio, kind in CONDITIONS:
        samples = np.pad(clean, (MARGIN, MARGIN))
        if ratio is not None:
            samples = noisy(samples, kind, ratio, seed)
        row: dict[str, Any] = {"voice": voice, "ratio": ratio, "kind": kind, "text": text}
        for name, ear in _ears.items():
            hearing = ear.hear(utterance(samples))
            found = [(meaning(parser, h.text), h.confidence) for h in hearing.hypotheses]
            best = found[0][0] if found else []
            share = min(1 - 1e-9, sum(c for m, c in found if m == best)) if found else 0.5
            row[name] = {
                "meaning": repr(best), "right": best == wanted,
                "nats": round(math.log(share / (1 - share)), 2), "off": hearing.off_grammar,
                "heard": hearing.hypotheses[0].text if found else "",
            }  # fmt: skip
        rows.append(row)
    return rows


def table(rows: list[dict[str, Any]], first: str, second: str) -> None:
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        noise = "" if row["ratio"] is None else (
            " unheard" if row["kind"] in UNSEEN_NOISES else " other")  # fmt: skip
        label = "clean" if row["ratio"] is None else f"{row['ratio']} dB{noise}"
        groups.setdefault(f"{row['voice']} {label}", []).append(row)
    groups["all"] = rows
    for label, group in groups.items():
        count = len(group)
        rights = [100 * sum(r[e]["right"] for r in group) / count for e in (first, second)]
        same = [
            r for r in group if r[first]["heard"] and r[first]["meaning"] == r[second]["meaning"]
        ]
        wrong = [r for r in same if not r[first]["right"]]
        sure = max((min(r[first]["nats"], r[second]["nats"]) for r in wrong), default=-99.0)
        left = [r for r in same if min(r[first]["nats"], r[second]["nats"]) > sure]
        shares = [100 * len(some) / count for some in (same, left)]
        print(
            f"{label}: {count}; {first} {rights[0]:.1f} %, {second} {rights[1]:.1f} %; agree "
            f"{len(same)} ({shares[0]:.1f} %), {len(wrong)} wrong; above {sure:.1f} nats "
            f"{len(left)} ({shares[1]:.1f} %)",
            flush=True,
        )
        for row in wrong if label == "all" else ():
            nats = min(row[first]["nats"], row[second]["nats"])
            where = f"{row['voice']} {row['ratio']} {row['kind']}, {nats} nats"
            print(f"    {where}: {row['text']!r} taken for {row[first]['heard']!r}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--heldout", type=Path, required=True)
    parser.add_argument("--own", type=Path, required=True)
    parser.add_argument("--letters", type=Path)
    parser.add_argument("--old", type=Path, help="another own.onnx, for comparison")
    parser.add_argument("--voices", nargs="+", default=["joe", "human", "nezumi"])
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--rows", type=Path, help="where to keep every hearing, as JSON lines")
    arguments = parser.parse_args()
    models = {"own": arguments.own, "letters": arguments.letters, "own:old": arguments.old}
    models = {name: path for name, path in models.items() if path is not None}
    tasks = [
        (voice, text, clean, seed)
        for voice in arguments.voices
        for seed, (text, clean) in enumerate(load(arguments.heldout, voice)[: arguments.count])
    ]
    with Pool(arguments.workers, _open, (models,)) as pool:
        rows = [row for some in pool.imap_unordered(_heard, tasks) for row in some]
    rows.sort(key=lambda row: (row["voice"], -(row["ratio"] or 99), str(row["kind"])))
    if arguments.rows:
        arguments.rows.write_text("".join(json.dumps(row) + "\n" for row in rows))
    for first, second in (("own", "letters"), ("own:old", "letters"), ("own:old", "own")):
        if first in models and second in models:
            table(rows, first, second)


if __name__ == "__main__":
    main()
