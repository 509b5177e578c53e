"""What each ear and each pair of ears accepts, asks and gets wrong on voices nobody was tuned on.

    python -m models.train.heldout --out DIR          (speaks the held-out recordings, once)
    python tests/benchmarks/pairs.py DIR --count 150

Every recording is heard once by each ear, clean and amid noise kinds unseen in training, and each
pair is then settled as in the assistant. One ear alone is the baseline: what it would have accepted
without a partner. "wrong" counts a value, sign, label or context in the record that was not said;
3/N bounds its rate (95 %) where none of N accepted values was wrong.
"""

from __future__ import annotations

import argparse
import itertools
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from assistant.audio.utterance import RATE, Utterance
from assistant.hearing.ears import open_ears
from assistant.hearing.heard import EarHearing, Heard
from assistant.profile import load_profile, load_spoken
from assistant.settling.settle import settle
from assistant.settling.settled import Expectation, Settled
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid
from models.train.heldout import UNSEEN_NOISES, load, noisy

LEVELS = (None, 15, 5)
LEAD = RATE // 2
PROFILE = load_profile()
PARSER = Parser(PROFILE, load_spoken())
Tuple = tuple[str | None, str | None, str | None, tuple[tuple[str, str], ...]]


def everybody(_first: str, _second: str) -> bool:
    return True


def told(settled: Sequence[Settled], status: str) -> Counter[Tuple]:
    """Label, value and context of every reading with that status."""
    return Counter(
        (
            s.quantity,
            s.position,
            s.value.number or s.value.state,
            tuple(sorted(one.context.items())),
        )
        for one in settled
        if isinstance(s := one.statement, ReadingSaid) and one.status == status
    )


BARE = Expectation({}, "wire_shift")
"""The recorded woman says bare numbers, as in answer to a question."""


def decide(hearings: Sequence[EarHearing], seconds: float) -> tuple[Settled, ...]:
    heard = Heard("heldout", 0.0, seconds, 0.5, 0.5, tuple(hearings))
    return settle(heard, PARSER.parse, BARE, PROFILE, everybody, PARSER.mishearings)


def truth(text: str) -> Counter[Tuple]:
    from assistant.hearing.typed import typed_hearing

    return told(decide([typed_hearing(text)], 1.0), "accepted")


def alone(hearing: EarHearing, seconds: float) -> tuple[Settled, ...]:
    """The same ear twice under two names: what it would accept if nobody had to agree."""
    twin = replace(hearing, ear="twin")
    return decide([hearing, twin], seconds)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--voices", nargs="+", default=["joe", "human"])
    parser.add_argument("--count", type=int, default=150, help="recordings of a voice")
    parser.add_argument("--ears", nargs="*", default=[])
    arguments = parser.parse_args()
    counts: dict[tuple[str, str], Counter[str]] = {}
    clock: Counter[str] = Counter()
    sound = 0.0
    with open_ears(PROFILE, load_spoken(), arguments.ears) as ears:
        recordings = [
            (voice, text, samples)
            for voice in arguments.voices
            for text, samples in load(arguments.folder, voice)[: arguments.count]
        ]
        for seed, (_, text, clean) in enumerate(recordings):
            wanted = truth(text)
            for level in LEVELS:
                samples = np.pad(clean, (LEAD, LEAD))
                if level is not None:
                    kind = UNSEEN_NOISES[seed % len(UNSEEN_NOISES)]
                    samples = noisy(samples, kind, level, seed)
                spoken = samples.astype(np.float32) / 32768
                seconds = len(spoken) / RATE
                sound += seconds
                utterance = Utterance(spoken, RATE, 0.0, seconds, 0.5, 0.5, "heldout")
                hearings, start = [], time.process_time()
                for hearing in ears.listen(utterance):
                    clock[hearing.ear] += time.process_time() - start
                    hearings.append(hearing)
                    start = time.process_time()
                name = "clean" if level is None else f"{level} dB"
                rows = {h.ear: alone(h, seconds) for h in hearings}
                rows |= {
                    f"{a.ear} + {b.ear}": decide([a, b], seconds)
                    for a, b in itertools.combinations(hearings, 2)
                }
                rows["all"] = decide(hearings, seconds)
                for row, settled in rows.items():
                    tally = counts.setdefault((name, row), Counter())
                    accepted, asked = told(settled, "accepted"), told(settled, "asked")
                    tally["values"] += wanted.total()
                    tally["right"] += (accepted & wanted).total()
                    tally["wrong"] += (accepted - wanted).total()
                    tally["asked"] += asked.total()
                    if len(row.split(" + ")) == 2:
                        for false in accepted - wanted:
                            print(f"  WRONG {name} {row}: said {text!r}, took {false}", flush=True)
    for level_name, row in list(counts):
        counts.setdefault(("every", row), Counter()).update(counts[level_name, row])
    print(f"{'':8}{'ears':26}{'values':>8}{'right':>8}{'asked':>8}{'wrong':>8}{'3/N':>8}")
    for (level_name, row), tally in sorted(counts.items()):
        accepted = tally["right"] + tally["wrong"]
        bound = f"{3 / accepted:.4f}" if accepted and not tally["wrong"] else ""
        share = 100 * tally["right"] / max(1, tally["values"])
        print(
            f"{level_name:8}{row:26}{tally['values']:8}{tally['right']:8}{tally['asked']:8}"
            f"{tally['wrong']:8}{bound:>8}  {share:.1f} % right at first say"
        )
    for ear_name, seconds in clock.items():
        print(f"{ear_name}: {seconds / sound:.3f} x real time of one core")


if __name__ == "__main__":
    main()
