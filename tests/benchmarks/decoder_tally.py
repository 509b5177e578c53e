"""What one decoder made of many sounds, beside the plain search; for decoders.py alone."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.heard import Hypothesis
from assistant.wording.parser import Parser
from models.train.evaluate import meaning

Answer = tuple[tuple[Hypothesis, ...], float]
"""Phrases, the likeliest first, and the log probability of the likeliest."""
SURE = 12.0
"""Nats that the assistant wants of each of two ears where nobody else bears witness."""


@dataclass(frozen=True, slots=True)
class Said:
    """A sound to decode: ``text`` is None where nothing of the grammar was said."""

    group: str
    text: str | None
    samples: NDArray[np.int16]


@dataclass(slots=True)
class Tally:
    """``shares`` where the decoder's confidences are shares of one probability."""

    shares: bool
    seconds: Counter[str] = field(default_factory=Counter)
    worst: float = 0.0
    same: int = 0
    right: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    sure: Counter[bool] = field(default_factory=Counter)
    odds_off: list[float] = field(default_factory=list)
    times_off: list[float] = field(default_factory=list)
    gaps: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))

    def took(self, group: str, seconds: float, length: float) -> None:
        """``seconds`` of a processor for ``length`` seconds of sound."""
        self.seconds[group] += seconds
        self.worst = max(self.worst, seconds / length)

    def add(self, parser: Parser, said: Said, free: float, answer: Answer, plain: Answer) -> None:
        """``free``: log probability of the likeliest classes, no grammar asked."""
        phrases, best = answer
        text, same = _text(answer), _text(answer) == _text(plain)
        self.same += same
        if phrases:
            self.found[said.group] += 1
            length = max(0.2, sum(word.end - word.start for word in phrases[0].words))
            self.gaps[said.group].append(max(0.0, free - best) / length)
        if said.text is None:
            return
        right = meaning(parser, text) == meaning(parser, said.text)
        self.right[said.group] += right
        if not phrases or not plain[0]:
            return
        if same:
            pairs = zip(phrases[0].words, plain[0][0].words, strict=True)
            off = (max(abs(a.start - b.start), abs(a.end - b.end)) for a, b in pairs)
            self.times_off.append(max(off))
        if self.shares:
            odds = _odds(parser, phrases)
            self.sure[right] += odds >= SURE
            # What lies above the bar is all one to the assistant.
            beside = min(SURE, _odds(parser, plain[0]))
            self.odds_off.append(abs(min(SURE, odds) - beside))


def report(
    tallies: Mapping[str, Tally],
    baseline: str,
    counts: Counter[str],
    lengths: Counter[str],
    memory: Mapping[str, float],
) -> None:
    """Two tables; ``lengths`` in seconds, ``memory`` in MB."""
    groups = [group for group in ("clean", "15 dB", "5 dB") if counts[group]]
    readings = sum(counts[group] for group in groups)
    print("\n| decoder | readings, x real time | times as fast | prompts, x real time | slowest"
          f" | MB | right, {' / '.join(groups)} | best phrase as the plain search |")  # fmt: skip
    for name, tally in tallies.items():
        right = " / ".join(f"{100 * tally.right[g] / counts[g]:.1f}" for g in groups)
        took, plain = (sum(t.seconds[g] for g in groups) for t in (tally, tallies[baseline]))
        print(
            f"| {name} | {took / sum(lengths[g] for g in groups):.5f} | {plain / took:.1f} | "
            f"{tally.seconds['prompts'] / lengths['prompts']:.5f} | {tally.worst:.4f} | "
            f"{memory[name]:.0f} | {right} | {tally.same} of {counts.total()} |"
        )
    print(f"\n| decoder | sure by {SURE:.0f} nats of {readings}: right, wrong | odds beside plain: "
          "median / 95 % / most nats | words' times beside plain: other / most | a phrase in noise "
          "alone | in prompts, least nats/s off | readings, 90 % below |")  # fmt: skip
    for name, tally in tallies.items():
        odds = np.percentile(tally.odds_off, [50, 95, 100]) if tally.odds_off else ()
        other = sum(off > 0.001 for off in tally.times_off)
        apart = [gap for group in groups for gap in tally.gaps[group]]
        sure = f"{tally.sure[True]}, {tally.sure[False]}" if tally.shares else ""
        print(
            f"| {name} | {sure} | {' / '.join(f'{value:.2f}' for value in odds)} | "
            f"{other} of {len(tally.times_off)} / {max(tally.times_off):.2f} s | "
            f"{tally.found['nothing']} of {counts['nothing']} | {tally.found['prompts']} of "
            f"{counts['prompts']}, {min(tally.gaps['prompts'], default=0):.1f} | "
            f"{np.percentile(apart, 90):.1f} |"
        )


def _text(answer: Answer) -> str:
    return answer[0][0].text if answer[0] else ""


def _odds(parser: Parser, phrases: tuple[Hypothesis, ...]) -> float:
    """Log odds (nats) of what the best phrase means against all else that was found."""
    wanted = meaning(parser, phrases[0].text)
    share = sum(each.confidence for each in phrases if meaning(parser, each.text) == wanted)
    share = min(1 - 1e-9, share)
    return math.log(share / (1 - share))
