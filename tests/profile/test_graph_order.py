from __future__ import annotations

import os
import subprocess
import sys

SHOW = """
from assistant.profile import load_profile, load_spoken
from assistant.profile.sayable import word_graph
print(word_graph(load_profile(), load_spoken()).arcs)
"""


def test_every_process_makes_the_same_grammar() -> None:
    """Python orders sets otherwise in each process: a grammar in that order would let words that
    sound alike ("oh", "o") be heard now so, now so."""

    def arcs(seed: str) -> str:
        return subprocess.run(
            [sys.executable, "-c", SHOW],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout

    first = arcs("1")
    assert len(first) > 1000
    assert arcs("2") == first
    assert arcs("5") == first
