"""Utterances a second of the parser, beside text2num on the same lines (numbers only, no labels).

    python tests/benchmarks/parser.py

Counts processor time of one core, so that a busy machine measures the same.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Sequence
from typing import TypeVar

from text_to_num import alpha2digit

from assistant.profile import load_profile, load_spoken
from assistant.profile.sayable import word_graph
from assistant.profile.word_graph import WordGraph
from assistant.wording.parser import Parser, typed_words

T = TypeVar("T")
TARGET = 5000
LINES = 3000


def main() -> None:
    profile, spoken = load_profile(), load_spoken()
    started = time.process_time()
    parser = Parser(profile, spoken)
    made = time.process_time() - started
    short = random_lines(5000, seed=1) * 2
    sayable = sayable_lines(word_graph(profile, spoken), LINES, seed=1)
    print(f"parser made from the profile in {made * 1000:.0f} ms")
    for name, lines in (("everyday lines", short), ("random sayable lines", sayable)):
        heard = [typed_words(line) for line in lines]
        rate = per_second(parser.parse, heard)
        baseline = per_second(lambda line: alpha2digit(line, "en"), lines)
        words = sum(map(len, heard)) / len(heard)
        met = "met" if rate >= TARGET else "missed"
        print(
            f"{name}: {len(lines)}, {words:.1f} words each: {rate:,.0f} utterances/s "
            f"(target {TARGET:,}: {met}); text2num {baseline:,.0f}/s"
        )


def random_lines(number: int, seed: int) -> list[str]:
    """What a technician says most, no number twice in the cache's favour."""
    chance = random.Random(seed)
    digits = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]

    def figures() -> str:
        sign = chance.choice(["", "minus "])
        return sign + " ".join(chance.choices(digits[1:], k=1) + chance.choices(digits, k=2))

    forms: list[Callable[[], str]] = [
        lambda: f"guide front {figures()} rear {figures()} docked",
        lambda: f"boundary rear {figures()}",
        lambda: f"battery {figures()} point {chance.choice(digits)} volts",
        lambda: f"front {figures()} correction {figures()}",
        lambda: "undocked",
        lambda: "what next",
    ]
    return [chance.choice(forms)() for _ in range(number)]


def sayable_lines(graph: WordGraph, number: int, seed: int) -> list[str]:
    chance = random.Random(seed)
    steps: dict[int, list[tuple[str, int]]] = {}
    for source, word, target in graph.arcs:
        steps.setdefault(source, []).append((word, target))
    lines = []
    for _ in range(number):
        state, words = graph.start, []
        while state not in graph.finals or (steps.get(state) and chance.random() < 0.5):
            word, state = chance.choice(steps[state])
            words += [word] if word else []
        lines.append(" ".join(words))
    return lines


def per_second(work: Callable[[T], object], lines: Sequence[T]) -> float:
    started = time.process_time()
    for line in lines:
        work(line)
    return len(lines) / (time.process_time() - started)


if __name__ == "__main__":
    main()
