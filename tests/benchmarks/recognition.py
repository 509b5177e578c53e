"""The assistant on voices nobody was tuned on, beside what one would otherwise use, in one run.

    python tests/benchmarks/benchmark_speech.py DIR          (once: speaks what is to be heard)
    python tests/benchmarks/recognition.py DIR [--jobs 2] [--every 6] [--report]

Every phrase is heard clean, at 15 dB and at 5 dB amid six kinds of noise, through the whole way
from voice activity to the journal. Where something is asked, the phrase is said once again (another
rendition, other noise), its numbers digit by digit where that is asked for. "wrong" counts every
value in the record that was not said: sign, label and context count as the number does. Beside it,
on every sixth phrase: pocketsphinx bound to the same grammar, prompted Whisper tiny.en, and
Whisper's open dictation, each with the same parser and the first thing it hears taken for true.
Results are kept line by line in DIR, so that a run goes on where it broke off; ``--report`` only
counts. Intervals (95 %) are bootstrapped over phrases within voices.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import multiprocessing
import random
import resource
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

import benchmark_speech  # noqa: E402

from assistant.audio.segments import utterances  # noqa: E402
from assistant.audio.utterance import RATE, Utterance  # noqa: E402
from assistant.hearing.ears import Ears, open_ears  # noqa: E402
from assistant.hearing.heard import EarHearing  # noqa: E402
from assistant.open_assistant import open_assistant  # noqa: E402
from assistant.profile import load_profile, load_spoken  # noqa: E402
from assistant.record.session import Reading  # noqa: E402
from assistant.record.store import Store  # noqa: E402
from assistant.session import Assistant  # noqa: E402
from assistant.settling.settled import Settled  # noqa: E402
from assistant.wording.statement import ReadingSaid  # noqa: E402
from models.train.heldout import SEEN_NOISES, UNSEEN_NOISES, noisy  # noqa: E402

PROFILE = load_profile()
LEVELS = (None, 15, 5)
NOISES = (*UNSEEN_NOISES, *SEEN_NOISES)
LEAD, TAIL = int(1.5 * RATE), int(0.9 * RATE)  # a microphone listens before and after
Value = tuple[str, str | None, str | None, str, tuple[tuple[str, str], ...]]
Row = dict[str, Any]


class Watched:
    """The assistant's ears, counting which were awake."""

    def __init__(self, ears: Ears) -> None:
        self._ears = ears
        self.awake: Counter[str] = Counter()

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        for hearing in self._ears.listen(utterance):
            self.awake[hearing.ear] += 1
            yield hearing


def assistant(folder: Path, ears: Any, trusted: Any, expected: str | None) -> Assistant:
    label = (expected, None) if expected else None
    return open_assistant(
        Store(folder), PROFILE, ears=ears, trusted=trusted, expected=label, unit="1",
        keep_audio=False,
    )  # fmt: skip


def values(readings: Iterable[Reading], status: str = "accepted") -> Counter[Value]:
    return Counter(
        (r.quantity, r.position, r.value, r.state, tuple(sorted(r.context.items())))
        for r in readings
        if r.status == status
    )


def unfinished(reading: Reading, wanted: Counter[Value]) -> bool:
    """Whether the assistant asks for a context that was said, so that nothing is wrong yet."""
    told = (reading.quantity, reading.position, reading.value, reading.state)
    return any(
        told == value[:4]
        and set(reading.context.items()) < set(value[4])
        and dict(value[4]).keys() - reading.context.keys() <= set(reading.missing)
        for value in wanted
    )


def value_of(settled: Settled) -> Value:
    said = settled.statement
    assert isinstance(said, ReadingSaid)
    context = tuple(sorted(settled.context.items()))
    return said.quantity or "", said.position, said.value.number, said.value.state, context


@cache
def truth(text: str, expected: str | None) -> Counter[Value]:
    with tempfile.TemporaryDirectory() as folder:
        typed = assistant(Path(folder), None, lambda _a, _b: True, expected)
        typed.type(text)
        found = values(typed.session.readings)
        typed.close()
    return found


def spoken(sound: np.ndarray, level: int | None, seed: int) -> list[Utterance]:
    padded = np.pad(sound, (LEAD, TAIL))
    if level is not None:
        padded = noisy(padded, NOISES[seed % len(NOISES)], level, seed)
    samples = padded.astype(np.float32) / 32768
    return list(utterances([samples], "said"))


def hear(ears: Ears, item: Sequence[Any], level: int | None, seed: int) -> Row:
    """One phrase through the assistant, said again if something is asked or nothing was taken, and
    in the way that is asked for."""
    text, expected, first, second, spelled = item
    wanted = truth(text, expected)
    with tempfile.TemporaryDirectory() as folder:
        watched = Watched(ears)
        bench = assistant(Path(folder), watched, ears.trusted, expected)
        clock, said, says, sound = 0.0, 0.0, [], first
        for again in range(2):
            start = time.process_time()
            heard = spoken(sound, level, seed + 7919 * again)
            turns = [bench.hear(utterance) for utterance in heard]
            settled = [one for turn in turns for one in turn.settled]
            clock += time.process_time() - start
            said += (len(sound) + LEAD + TAIL) / RATE
            readings = bench.session.readings
            taken = values(r for r in readings if not unfinished(r, wanted))
            says.append(
                {
                    "right": (taken & wanted).total(),
                    "wrong": [list(value) for value in taken if value not in wanted],
                    "asked": values(readings, "asked").total(),
                    "odds": [
                        [one.odds, one.status, sorted(one.doubts), value_of(one) in wanted]
                        for one in settled
                        if one.odds is not None and isinstance(one.statement, ReadingSaid)
                    ],
                }
            )
            if says[-1]["right"] >= wanted.total():
                break
            asked = " ".join(reply.spoken for turn in turns for reply in turn.replies)
            sound = spelled if "digit by digit" in asked else second
        bench.close()
    awake = dict(watched.awake)
    return {"values": wanted.total(), "says": says, "clock": clock, "sound": said, "awake": awake}


def alone(ear: Any, item: Sequence[Any], level: int | None, seed: int, weighs: bool) -> Row:
    """The same phrase through one ear whose first word is taken for true."""
    text, expected, first, *_ = item
    wanted = truth(text, expected)
    start = time.process_time()
    taken: Counter[Value] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        typed = assistant(Path(folder), None, lambda _a, _b: True, expected)
        for utterance in spoken(first, level, seed):
            heard = ear.weigh(utterance, ()) if weighs else ear.hear(utterance)
            if heard.hypotheses:
                typed.type(heard.hypotheses[0].text)
        if typed.jobs:
            taken = values(typed.session.readings)
        typed.close()
    clock = time.process_time() - start
    said = (len(first) + LEAD + TAIL) / RATE
    wrong = [list(value) for value in taken if value not in wanted]
    one = {"right": (taken & wanted).total(), "wrong": wrong, "asked": 0, "odds": []}
    return {"values": wanted.total(), "says": [one], "clock": clock, "sound": said}


def work(folder: Path, share: int, of: int, every: int) -> None:
    path = folder / f"heard_{share}_of_{of}.jsonl"
    lines = path.read_text("utf-8").splitlines() if path.exists() else []
    done = {(r["system"], r["voice"], r["place"], r["level"]) for r in map(json.loads, lines)}
    items = [
        (sound.stem, place, item)
        for sound in sorted(folder.glob("*.npz"))
        for place, item in enumerate(benchmark_speech.load(sound))
    ]
    random.Random(5).shuffle(items)
    with open_ears(PROFILE, load_spoken()) as ears, path.open("a", encoding="utf-8") as out:
        by_name = {ear.name: ear for ear in ears}

        def keep(system: str, voice: str, place: int, level: int | None, row: Row) -> None:
            told = {"system": system, "voice": voice, "place": place, "level": level, **row}
            out.write(json.dumps(told) + "\n")
            out.flush()

        for number, (voice, place, item) in enumerate(items):
            if number % of != share:
                continue
            for step, level in enumerate(LEVELS):
                seed = 3 * number + step
                if ("assistant", voice, place, level) not in done:
                    row = {"words": item[0], **hear(ears, item, level, seed)}
                    keep("assistant", voice, place, level, row)
                if number % every or ("Whisper, open", voice, place, level) in done:
                    continue
                for system, ear, weighs in (
                    ("pocketsphinx, bound", by_name["pocketsphinx"], False),
                    ("Whisper, prompted", by_name["whisper"], False),
                    ("Whisper, open", by_name["whisper"], True),
                ):
                    row = alone(ear, item, level, seed, weighs)
                    keep(system, voice, place, level, row)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"share {share}: done, at most {peak:.0f} MB", flush=True)


def interval(rows: Sequence[Row], share: Any, rounds: int = 400) -> tuple[float, float]:
    """Bootstrapped over phrases within voices."""
    groups: dict[str, dict[int, list[Row]]] = defaultdict(lambda: defaultdict(list))
    for row in rows:
        groups[row["voice"]][row["place"]].append(row)
    rng = random.Random(1)
    found = []
    for _ in range(rounds):
        drawn = [
            row
            for phrases in groups.values()
            for place in rng.choices(list(phrases), k=len(phrases))
            for row in phrases[place]
        ]
        found.append(share(drawn))
    low, high = np.percentile(found, [2.5, 97.5])
    return float(low), float(high)


def wrong_in(row: Row) -> set[str]:
    """Every value that stood in the record after either say and was not said."""
    return {json.dumps(value) for say in row["says"] for value in say["wrong"]}


def first_say(rows: Sequence[Row]) -> float:
    return 100 * sum(r["says"][0]["right"] for r in rows) / sum(r["values"] for r in rows)


def at_last(rows: Sequence[Row]) -> float:
    return 100 * sum(r["says"][-1]["right"] for r in rows) / sum(r["values"] for r in rows)


def report(folder: Path) -> None:
    lines = [
        json.loads(line)
        for path in sorted(folder.glob("heard_*.jsonl"))
        for line in path.read_text("utf-8").splitlines()
    ]
    picture(lines, folder / "recognition.svg")
    print("| heard by | amid | values | right at first say | right within one repeat | accepted, "
          "but wrong | × real time |")  # fmt: skip
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for system in dict.fromkeys(row["system"] for row in lines):
        for level in (*LEVELS, "all"):
            rows = [r for r in lines if r["system"] == system and level in (r["level"], "all")]
            total = sum(r["values"] for r in rows)
            wrong = sum(len(wrong_in(r)) for r in rows)
            accepted = wrong + sum(r["says"][-1]["right"] for r in rows)
            low, high = interval(rows, first_say)
            speed = sum(r["clock"] for r in rows) / sum(r["sound"] for r in rows)
            amid = {None: "nothing", "all": "all"}.get(level, f"{level} dB")
            again = f"{at_last(rows):.1f} %" if system == "assistant" else "-"
            print(f"| {system} | {amid} | {total} | {first_say(rows):.1f} % ({low:.1f} to "
                  f"{high:.1f}) | {again} | {wrong} of {accepted} | {speed:.2f} |")  # fmt: skip
    mine = [r for r in lines if r["system"] == "assistant"]
    for voice in sorted({r["voice"] for r in mine}):
        for level in LEVELS:
            rows = [r for r in mine if (r["voice"], r["level"]) == (voice, level)]
            print(f"{voice}, {level}: {sum(r['values'] for r in rows)} values, "
                  f"{first_say(rows):.1f} %, then {at_last(rows):.1f} %")  # fmt: skip
    awake: Counter[str] = sum((Counter(r["awake"]) for r in mine), Counter())
    print("utterances heard by", dict(awake))
    doubts = Counter(
        " ".join(d) for r in mine for _, status, d, _ in r["says"][0]["odds"] if status == "asked"
    )
    print("first says asked for", dict(doubts.most_common(8)))
    reliability(mine)
    for row in mine:
        for value in sorted(wrong_in(row)):
            print("WRONG", row["voice"], row["level"], repr(row["words"]), value)


ODDS = (-np.inf, 0, 3, 6, 7, 10, 13, np.inf)


def by_odds(rows: Sequence[Row]) -> list[tuple[float, int, int]]:
    """For each step of ODDS: the stated probability (mean), how many values, how many right."""
    told = [(odds, right) for r in rows for odds, _, _, right in r["says"][0]["odds"]]
    found = []
    for low, high in itertools.pairwise(ODDS):
        group = [(1 / (1 + math.exp(-odds)), right) for odds, right in told if low <= odds < high]
        stated = sum(p for p, _ in group) / max(1, len(group))
        found.append((stated, len(group), sum(right for _, right in group)))
    return found


def reliability(rows: Sequence[Row]) -> None:
    """How often what the ears agreed on was right, by the odds that they gave it together."""
    print("| odds (nats) | stated | values | right |\n| --- | --- | --- | --- |")
    for (low, high), (stated, count, right) in zip(
        itertools.pairwise(ODDS), by_odds(rows), strict=True
    ):
        share = f"{100 * right / count:.1f} %" if count else "-"
        print(f"| {low:g} to {high:g} | {100 * stated:.2f} % | {count} | {share} |")


def picture(lines: Sequence[Row], path: Path) -> None:
    """Right values by noise, the assistant's beside the others', wrong ones written above."""
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "recognition"
    from matplotlib import pyplot

    systems = list(dict.fromkeys(row["system"] for row in lines))
    figure, axes = pyplot.subplots(figsize=(8, 3.6), layout="constrained")
    width = 0.8 / len(systems)
    for number, system in enumerate(systems):
        for place, level in enumerate(LEVELS):
            rows = [r for r in lines if (r["system"], r["level"]) == (system, level)]
            at, color = place + (number - len(systems) / 2 + 0.5) * width, f"C{number}"
            last = at_last(rows)
            if system == "assistant":
                axes.bar(at, last, width * 0.92, color=color, alpha=0.35)
            axes.bar(at, first_say(rows), width * 0.92, color=color,
                     label=system if place == 0 else None)  # fmt: skip
            wrong = sum(len(wrong_in(r)) for r in rows)
            values = sum(r["values"] for r in rows)
            axes.text(at, last + 1, f"{100 * wrong / values:.1f}", ha="center", fontsize=9)
    axes.set_xticks(range(len(LEVELS)), ["clean", "15 dB", "5 dB"])
    axes.set_ylim(0, 119)
    axes.set_yticks(range(0, 101, 20))
    axes.set_ylabel("% of values right at first say\n(pale: within one repeat)")
    axes.set_title("Above each bar: % of values wrong in the record", fontsize=10, loc="left")
    axes.legend(ncols=4, fontsize=9, loc="upper center", frameon=False)
    axes.spines[["top", "right"]].set_visible(False)
    figure.savefig(path, metadata={"Date": None})


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--every", type=int, default=6, help="phrases of which the others hear one")
    parser.add_argument("--report", action="store_true")
    arguments = parser.parse_args()
    if not arguments.report:
        context = multiprocessing.get_context("spawn")
        shares = range(arguments.jobs)
        given = [(arguments.folder, share, arguments.jobs, arguments.every) for share in shares]
        workers = [context.Process(target=work, args=one) for one in given]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
    report(arguments.folder)


if __name__ == "__main__":
    main()
