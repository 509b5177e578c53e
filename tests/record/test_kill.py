"""kill -9 at any moment: every acknowledged entry is there when the journal is opened again."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.record.journal import Journal

KILLS = int(os.environ.get("BENCHCALL_KILLS", "30"))
"""BENCHCALL_KILLS=500 for the long run."""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
def test_a_killed_process_loses_no_acknowledged_entry(path: Path) -> None:
    Journal.create(path, {}).close()
    chance = random.Random(1125)
    acknowledged: dict[int, str] = {}
    root = Path(__file__).parents[2]
    with subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("dictating.py")), str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(root)},
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        for _ in range(KILLS):
            process.stdin.write("go\n")
            process.stdin.flush()
            child = int(process.stdout.readline().removeprefix("pid "))
            for _ in range(chance.randrange(20)):
                _take(process.stdout.readline(), acknowledged)
            os.kill(child, signal.SIGKILL)
            for line in iter(process.stdout.readline, "dead\n"):
                _take(line, acknowledged)
            with Journal.reopen(path) as journal:
                found = {entry.seq: entry.sha256 for entry in journal.entries}
            assert acknowledged.items() <= found.items()
            acknowledged = {seq: seal for seq, seal in found.items() if seq > 1}
        process.stdin.close()
    assert len(acknowledged) >= KILLS


def _take(line: str, acknowledged: dict[int, str]) -> None:
    seq, seal = line.split()
    acknowledged[int(seq)] = seal
