"""What each ear costs: time to make it, processor time a second of speech, memory.

    python tests/benchmarks/ears.py [EAR…]

Each ear hears every third shipped utterance in a process of its own. The baseline is the spectrum
that every recogniser begins with (log-mel, in numpy) of the same sound, timed in the same process,
so that the ratio holds on a busy machine too. Vosk works in a process that it starts; both are
counted.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from assistant.audio.recording import read_blocks
from assistant.audio.segments import utterances
from assistant.audio.utterance import RATE, Utterance
from assistant.errors import HearingError
from assistant.hearing.ears import open_ears
from assistant.hearing.log_mel import log_mel
from assistant.hearing.model_store import EARS, find_model
from assistant.profile import load_profile, load_spoken
from assistant.shipped import shipped

REAL_TIME_TARGET = 0.2
MEMORY_TARGET = 450
"""MB, for all ears that are here with Whisper among them (300 MB for the default pair)."""


def main() -> None:
    if sys.argv[1:2] == ["--measure"]:
        print(json.dumps(measure(sys.argv[2:])))
        return
    names = sys.argv[1:] or [name for name in EARS if find_model(name)]
    print(f"{'ear':28}{'made in s':>10}{'x real time':>12}{'x log-mel':>10}{'MB':>6}{'MB peak':>8}")
    for together in [*([name] for name in names), names][: None if len(names) > 1 else 1]:
        command = [sys.executable, __file__, "--measure", *together]
        row = json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)
        met = "" if row["real_time"] <= REAL_TIME_TARGET * len(together) else "  missed"
        print(
            f"{' + '.join(together):28}{row['made']:10.2f}{row['real_time']:12.3f}"
            f"{row['ratio']:10.0f}{row['memory']:6.0f}{row['peak']:8.0f}{met}"
        )
    print(f"targets: {REAL_TIME_TARGET} x real time an ear, {MEMORY_TARGET} MB all together")


def measure(names: list[str]) -> dict[str, float]:
    """Processor seconds of this process and its children."""
    sound = shipped_utterances()
    seconds = sum(len(utterance.samples) for utterance in sound) / RATE
    baseline = took(lambda: [log_mel(utterance.samples) for utterance in sound])
    profile, spoken = load_profile(), load_spoken()
    before, started = used_memory(), time.process_time()
    ears = open_ears(profile, spoken, names)
    made = time.process_time() - started

    def hear() -> None:
        for utterance in sound:
            for ear in ears:
                try:
                    ear.hear(utterance)
                except HearingError as error:
                    print(error, file=sys.stderr)

    heard = took(hear)
    memory = used_memory() - before
    ears.close()
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    heard += children.ru_utime + children.ru_stime
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {
        "made": made,
        "real_time": heard / seconds,
        "ratio": heard / baseline,
        "memory": memory + children.ru_maxrss / 1024,
        "peak": peak + children.ru_maxrss / 1024,
    }


def shipped_utterances() -> list[Utterance]:
    files = sorted(shipped("demo_audio").glob("*/*.wav"))
    return [u for file in files for u in utterances(read_blocks(file), file.name)][::3]


def took(work: Callable[[], object]) -> float:
    started = time.process_time()
    work()
    return time.process_time() - started


def used_memory() -> float:
    """MB of this process that are in memory (Linux)."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / 1e6


if __name__ == "__main__":
    main()
