"""Measures ``benchcall archive``: the same recordings one by one and by Dask, and how much faster.

    python tests/benchmarks/archive.py [recordings] [workers] [ears…]

The recordings are single utterances cut from demo_audio. Opening the ears is not counted where
they are opened once in this process; starting Dask's workers, each of which opens them, is, and
is told by itself: it is paid once however large the archive. Results must be the same bytes.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
import wave
from pathlib import Path

from assistant.archive.run import run
from assistant.archive.way import opened
from tests.archive.clips import cut


def seconds_of(paths: list[Path]) -> float:
    total = 0.0
    for path in paths:
        with wave.open(str(path)) as file:
            total += file.getnframes() / file.getframerate()
    return total


def timed(folder: Path, out: Path, ears: tuple[str, ...], workers: int) -> tuple[float, float]:
    """Seconds to the first result, and from it to the last."""
    began = time.perf_counter()
    moments = []

    def tell(done: int, _: int) -> None:
        moments.append((done, time.perf_counter()))

    run(folder, out, ears=ears, workers=workers, progress=tell)
    first = next(at for done, at in moments if done == 1)
    return first - began, moments[-1][1] - first


def same(one: Path, other: Path) -> bool:
    def read(out: Path) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in out.glob("*/*")}

    return read(one) == read(other)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    workers = int(sys.argv[2]) if len(sys.argv) > 2 else os.cpu_count() or 1
    ears = tuple(sys.argv[3:]) or ("own", "pocketsphinx")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = cut(folder / "archive", count)
        sound = seconds_of(paths)
        opened("robot_mower", ears)
        print(f"{len(paths)} recordings, {sound:.0f} s of sound, ears {', '.join(ears)}")
        start_alone, alone = timed(folder / "archive", folder / "alone", ears, 0)
        start_dask, dask = timed(folder / "archive", folder / "dask", ears, workers)
        rest = sound * (len(paths) - 1) / len(paths)
        for label, first, took in (
            ("one by one", start_alone, alone),
            (f"Dask, {workers} workers", start_dask, dask),
        ):
            print(
                f"{label:18} first result after {first:5.1f} s, then {rest / took:5.1f} × real time"
            )
        print(f"Dask is {alone / dask:.2f} times as fast, on {os.cpu_count()} hardware threads")
        print(
            f"Results the same bytes: {'yes' if same(folder / 'alone', folder / 'dask') else 'NO'}"
        )


if __name__ == "__main__":
    main()
