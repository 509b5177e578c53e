"""Measures the journal: replay of 10,000 entries beside plain ``json.loads``, and one append.

    python tests/benchmarks/journal.py [entries]

The target is 10,000 entries replayed from the file, every seal and link checked, in under 1 s.
"""

from __future__ import annotations

import json
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from assistant.record.body import reading_body
from assistant.record.entry import NOTHING_BEFORE, Kind, decode, encode
from assistant.record.journal import Journal, read_journal
from assistant.record.replay import Replay, replay
from assistant.record.session import Reading

AT = "2026-11-25T17:13:05.120Z"
REPEATS = 5


def sample(number: int) -> tuple[Kind, dict[str, object]]:
    """Four readings in five, one of them in ten a correction; the rest contexts and notes."""
    if number % 5 == 4:
        if number % 2:
            return "context", {"key": "station", "value": "docked", "heard": "docked"}
        return "note", {"text": "joint under the gate looks wet", "heard": "note joint"}
    reading = Reading(
        id="",
        quantity="guide_signal",
        position="front" if number % 2 else "rear",
        value=f"{number % 200 - 100}.50",
        state="value",
        unit="1",
        context={"station": "undocked", "wire": "guide", "repair": "before"},
        status="accepted",
        confidence=0.9731,
        heard="guide front minus sixty five point five oh",
        ears={"own": "guide front minus sixty five point five oh", "pocketsphinx": "the same"},
        says={"own": "-65.50", "pocketsphinx": "-65.50"},
        source="microphone",
        start=number * 3.0,
        end=number * 3.0 + 2.1,
        replaces=str(number - 4) if number % 10 == 8 else None,
        audio="ab" * 32,
    )
    return "reading", reading_body(reading)


def write(path: Path, count: int) -> None:
    """A journal of ``count`` entries, written without flushing each."""
    previous = NOTHING_BEFORE
    with path.open("wb") as file:
        for seq in range(1, count + 1):
            kind, body = sample(seq) if seq > 1 else ("opened", {"session": "s"})
            line = encode(seq, AT, kind, body, previous)
            previous = decode(line).sha256
            file.write(line + b"\n")


def best(work: Callable[[], object]) -> float:
    """Seconds of the fastest of a few runs: the least disturbed one."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def appends(path: Path, count: int = 200) -> list[float]:
    """Seconds of each append to a journal that is open, session kept up with it."""
    with Journal.reopen(path) as journal:
        told = Replay()
        for entry in journal.entries:
            told.take(entry)
        times = []
        for number in range(count):
            start = time.perf_counter()
            kind, body = sample(5 * number)
            told.take(journal.append(kind, body))
            _ = told.session
            times.append(time.perf_counter() - start)
    return times


def flush(folder: Path, count: int = 200) -> float:
    """Median seconds of writing 700 bytes and fsync alone: what the disk itself costs."""
    times = []
    with (folder / "plain").open("ab", buffering=0) as file:
        for _ in range(count):
            start = time.perf_counter()
            file.write(b"x" * 699 + b"\n")
            os.fsync(file.fileno())
            times.append(time.perf_counter() - start)
    return statistics.median(times)


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "journal.jsonl"
        write(path, count)
        plain = best(lambda: [json.loads(line) for line in path.read_bytes().splitlines()])
        verified = best(lambda: read_journal(path))
        whole = best(lambda: replay(read_journal(path)))
        times = appends(path)
        disk = flush(Path(folder))
        size = path.stat().st_size / 1e6
        print(f"{count} entries, {size:.1f} MB, best of {REPEATS}")
        print(f"  json.loads alone           {plain:7.3f} s")
        print(f"  read and verified          {verified:7.3f} s  {verified / plain:4.1f} ×")
        print(f"  and replayed to a session  {whole:7.3f} s  {whole / plain:4.1f} ×")
        middle, late = statistics.median(times), statistics.quantiles(times, n=20)[-1]
        print(f"  one append, flushed, session anew: median {middle * 1e3:.1f} ms, ", end="")
        print(f"95 % within {late * 1e3:.1f} ms (write and fsync alone {disk * 1e3:.1f} ms)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
