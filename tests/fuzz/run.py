"""Lets atheris search for inputs that break a target, guided by coverage of ``assistant``.

    pip install atheris
    python -m tests.fuzz.run wording --seconds 120
    python -m tests.fuzz.run wording --chance 1000000     # without atheris: bytes of chance

What breaks a target is written to tests/fuzz/found/<target>/, where ``test_fuzz.py`` repeats it.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import sys
import tempfile
import time
from pathlib import Path

from tests.fuzz.test_fuzz import FOUND, TARGETS, inputs

LONGEST = {"wording": 60, "profiles": 120, "journal": 160, "sound": 2200, "pages": 200}
"""Bytes an input; short ones are tried more often."""


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("target", choices=sorted(TARGETS))
    options.add_argument("--seconds", type=int, default=120)
    options.add_argument("--corpus", type=Path, help="a folder of inputs to begin with and add to")
    options.add_argument("--chance", type=int, help="so many inputs of chance; no search")
    options.add_argument("--of", default="", help="other inputs of chance for another name")
    given = options.parse_args()
    if given.chance:
        by_chance(given.target, given.chance, given.of)
    else:
        by_search(given.target, given.seconds, given.corpus)


def by_chance(name: str, many: int, of: str) -> None:
    """Ends with the first that breaks the target, and keeps it."""
    target = importlib.import_module(f"tests.fuzz.{name}")
    began = time.process_time()
    for number, data in enumerate(inputs(target.seeds(), many, of), start=1):
        try:
            target.check(data)
        except Exception:
            (FOUND / name).mkdir(parents=True, exist_ok=True)
            (FOUND / name / f"crash-{hashlib.sha256(data).hexdigest()[:12]}.bin").write_bytes(data)
            raise
        if number % 10_000 == 0 or number == many:
            print(f"{name}: {number} inputs, {time.process_time() - began:.0f} s", flush=True)


def by_search(name: str, seconds: int, corpus: Path | None) -> None:
    """What breaks the target lies in its folder of ``found`` afterwards, as crash-…"""
    import atheris

    with atheris.instrument_imports(include=["assistant"]):
        target = importlib.import_module(f"tests.fuzz.{name}")
        target.check(b"")  # what is imported late is imported now
    corpus = corpus or Path(tempfile.mkdtemp(prefix="benchcall-corpus-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds()):
        (corpus / f"seed{number}").write_bytes(seed)
    found = FOUND / name
    found.mkdir(parents=True, exist_ok=True)
    limits = [
        f"-max_total_time={seconds}",
        f"-max_len={LONGEST[name]}",
        "-len_control=0",
        "-timeout=60",
    ]
    quiet = ["-close_fd_mask=2", "-print_final_stats=1", "-rss_limit_mb=3000"]
    atheris.Setup(
        [sys.argv[0], *limits, *quiet, f"-artifact_prefix={found}/", str(corpus)], target.check
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main()
