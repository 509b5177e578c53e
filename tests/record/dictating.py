"""A process that enters notes as fast as it can and acknowledges each on standard output.

Run by test_kill.py with the path of a journal. For each line on standard input a child is forked,
which reopens the journal, prints "pid <number>", and appends until it is killed.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from assistant.record.journal import Journal


def append_for_ever(path: Path) -> None:
    os.write(1, f"pid {os.getpid()}\n".encode())
    journal = Journal.reopen(path)
    while True:
        seq = journal.entries[-1].seq + 1
        entry = journal.append("reading", {"value": f"{seq}.50", "heard": "x" * (seq % 97)})
        os.write(1, f"{entry.seq} {entry.sha256}\n".encode())


def main(path: Path) -> None:
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            append_for_ever(path)
        os.waitpid(child, 0)
        os.write(1, b"dead\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
