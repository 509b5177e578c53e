"""kill -9 during live dictation, again and again; what was acknowledged is looked for each time.

    python tests/live/kills.py [--kills 500] [--seed 1125]

Acknowledged is what somebody outside saw: the line of the read-back on standard output. Each
process goes on in the session of the one that was killed before it. Printed: kills, readings
acknowledged, how many of them the journal holds, and what it holds that was never acknowledged
(entered when the kill came, not yet read back; no loss).
"""

from __future__ import annotations

import argparse
import os
import random
import re
import select
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2])]

from assistant.record.store import Store  # noqa: E402

FIRST = 1000
LONGEST_WAIT = 0.15
"""Seconds into a reading, at most, at which the kill comes."""
READ_BACK = re.compile(r"✓ running hours (\d+)")
GONE_ON = re.compile(r"the last one: running hours (\d+)")


@dataclass(slots=True)
class Counted:
    """``lost`` were acknowledged and are not in the journal; ``twice`` are in it more than once;
    ``unsaid`` are in it and were not acknowledged."""

    kills: int = 0
    acknowledged: int = 0
    found: int = 0
    lost: int = 0
    twice: int = 0
    unsaid: int = 0
    torn: int = 0


def kill_while_dictating(home: Path, kills: int, seed: int) -> Counted:
    """Kills so many processes that dictate; raises RecordError where the journal is damaged."""
    chance = random.Random(seed)
    acknowledged: set[int] = set()
    found: Counter[int] = Counter()
    counted = Counted()
    with subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("dictating.py")), str(home)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1,
    ) as process:  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        for _ in range(kills):
            begin = max([FIRST, *acknowledged, *found]) + 1
            process.stdin.write(f"{begin}\n")
            process.stdin.flush()
            child = int(process.stdout.readline().removeprefix("pid "))
            lines = []
            wanted = chance.choice((0, 1, 1, 2, 3))
            while sum(READ_BACK.search(line) is not None for line in lines) < wanted:
                lines.append(process.stdout.readline())
            select.select([process.stdout], [], [], chance.uniform(0, LONGEST_WAIT))
            os.kill(child, signal.SIGKILL)
            lines += iter(process.stdout.readline, "dead\n")
            counted.kills += 1
            for line in lines:
                if told := GONE_ON.search(line):
                    assert int(told[1]) == max(found), "it goes on elsewhere"
                if read_back := READ_BACK.search(line):
                    acknowledged.add(int(read_back[1]))
            store = Store(home)
            begun = [listed.id for listed in store.sessions() if not listed.trouble]
            readings = [reading for name in begun for reading in store.read(name).readings]
            found = Counter(int(str(reading.value)) for reading in readings)
            assert acknowledged <= found.keys(), sorted(acknowledged - found.keys())
        process.stdin.close()
    counted.acknowledged = len(acknowledged)
    counted.found = len(acknowledged & found.keys())
    counted.lost = counted.acknowledged - counted.found
    counted.twice = sum(count > 1 for count in found.values())
    counted.unsaid = len(found.keys() - acknowledged)
    counted.torn = len(list(home.glob("sessions/*/*.torn")))
    return counted


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1125)
    given = parser.parse_args()
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as home:
        counted = kill_while_dictating(Path(home), given.kills, given.seed)
    print(f"{counted.kills} kills in {time.perf_counter() - start:.0f} s")
    print(f"{counted.acknowledged} readings were read back, {counted.found} of them are there")
    print(f"{counted.twice} are there twice, {counted.unsaid} were entered and not yet read back")
    print(f"{counted.torn} torn ends were set aside")


if __name__ == "__main__":
    main()
