"""Lets atheris search for inputs that break a target, guided by coverage of ``assistant``.

    pip install atheris
    python -m tests.fuzz.run wording --seconds 120

What breaks a target is written to tests/fuzz/found/<target>/, where ``test_fuzz.py`` repeats it.
"""

from __future__ import annotations

import argparse
import importlib
import sys
import tempfile
from pathlib import Path

from tests.fuzz.test_fuzz import FOUND, TARGETS

LONGEST = {"wording": 160, "profiles": 120, "journal": 160, "sound": 2200, "pages": 200}
"""Bytes an input; short ones are tried more often."""


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("target", choices=sorted(TARGETS))
    options.add_argument("--seconds", type=int, default=120)
    options.add_argument("--corpus", type=Path, help="a folder of inputs to begin with and add to")
    given = options.parse_args()
    import atheris

    with atheris.instrument_imports(include=["assistant"]):
        target = importlib.import_module(f"tests.fuzz.{given.target}")
        target.check(b"")  # what is imported late is imported now
    corpus = given.corpus or Path(tempfile.mkdtemp(prefix="benchcall-corpus-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds()):
        (corpus / f"seed{number}").write_bytes(seed)
    found = FOUND / given.target
    found.mkdir(parents=True, exist_ok=True)
    limits = [
        f"-max_total_time={given.seconds}",
        f"-max_len={LONGEST[given.target]}",
        "-timeout=60",
    ]
    quiet = ["-close_fd_mask=2", "-print_final_stats=1", "-rss_limit_mb=3000"]
    atheris.Setup(
        [sys.argv[0], *limits, *quiet, f"-artifact_prefix={found}/", str(corpus)], target.check
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main()
