"""How long after the last word the assistant answers, through the live path.

    python tests/benchmarks/latency.py [--count 40] [--starts 5] [--seed 1]

Plays shipped utterances into `benchcall listen`, through PulseAudio null sinks where they are here
(else it says so and ends), and records what was said and what was answered on one clock. Printed:
seconds from the last sound of the speech to the first sound of the read-back, endpoint silence
included, 50th and 95th percentile, apart for utterances for which Whisper was woken; and seconds
from the start of the command until it is ready to listen, and until the sound server, which takes
its time, has given the first sound.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import tempfile
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.audio.levels import STEP, STEP_SECONDS
from assistant.profile import load_profile, load_spoken
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid
from tests.hearing.demo_speech import every
from tests.live.pulse import PACKAGES, Listening, Pulse, Samples, is_here

SOUND_DB = -45.0
"""RMS of 10 ms, dBFS, above which a channel sounds: the room's noise is at -60."""
TARGETS = {"without Whisper": 0.8, "Whisper woken": 1.5}
PARSER = Parser(load_profile(), load_spoken())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--starts", type=int, default=5)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    if not is_here():
        print(f"No sound server without a sound card here: install {PACKAGES}.")
        return
    said = [u.samples for words, u in every() if is_reading(words)]
    random.Random(given.seed).shuffle(said)
    with tempfile.TemporaryDirectory(prefix="pulse") as folder:
        pulse = Pulse(Path(folder))
        try:
            started = [start(pulse) for _ in range(given.starts + 1)]
            waits = answers(pulse, said[: given.count])
        finally:
            pulse.close()
    load = os.getloadavg()[0]
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {load:.1f} of others and this")
    for what, first, *later in zip(("ready to listen", "the first sound"), *started, strict=True):
        usual = f"{np.median(later):.1f} s, at most {max(later):.1f} s of {given.starts} times"
        print(f"{what}: {usual}, the very first time {first:.1f} s")
    for name, target in TARGETS.items():
        found = waits[name]
        if found:
            middle, late = np.percentile(found, [50, 95])
            print(
                f"{name}: n {len(found)}, p50 {middle:.2f} s, p95 {late:.2f} s (target {target}), "
                f"longest {max(found):.2f} s"
            )


def start(pulse: Pulse) -> tuple[float, float]:
    """Seconds until it asks for the microphone, and until that has given sound; nothing is
    said."""
    with Listening(pulse) as listening:
        listening.until("Listening;")
        ready = time.monotonic() - listening.started
        listening.until("[listening]")
        sounding = time.monotonic() - listening.started
        listening.end()
    return ready, sounding


def is_reading(words: str) -> bool:
    """Whether it is answered in any case."""
    return any(isinstance(said, ReadingSaid) for said in PARSER.parse_text(words))


def answers(pulse: Pulse, said: list[Samples]) -> dict[str, list[float]]:
    waits: dict[str, list[float]] = {name: [] for name in TARGETS}
    with Listening(pulse, "--unit", "31") as listening:
        listening.until("[listening]")
        for samples in said:
            with pulse.recorded() as channels:
                pulse.say(samples)
                ears = listening.until("[heard by")
                listening.until("[speaking]")
                listening.until("[listening]")
            awake = "Whisper woken" if "whisper" in ears else "without Whisper"
            waits[awake].append(answer_after(*channels))
            print(f"{waits[awake][-1]:.2f} s {awake}", flush=True)
        listening.end()
    return waits


def answer_after(said: Samples, answered: Samples) -> float:
    """Seconds from the last sound of one channel to the first of the other."""
    return float(sounding(answered)[0] - (sounding(said)[-1] + 1)) * STEP_SECONDS


def sounding(samples: Samples) -> NDArray[np.intp]:
    """The steps of 10 ms that hold sound."""
    steps = samples[: len(samples) // STEP * STEP].reshape(-1, STEP)
    return np.flatnonzero(np.mean(np.square(steps), axis=1) > 10 ** (SOUND_DB / 10))


if __name__ == "__main__":
    main()
