"""A whole shift through the live path, faster than real time: does anything grow?

    python tests/benchmarks/shift.py [--hours 8] [--readings 5000] [--share 1] [--svg FILE]

Everything is real but the sound devices: bench, listener, voice activity, the two ears own and
letters in their process, the assistant, one journal on the disk with its flushes and its sound,
diagnosis and the wording of the read-back. Blocks of sound come from memory as fast as they are
taken, on a clock that counts blocks; the loudspeaker says nothing and takes as long as its words
would. Said are the shipped recordings, two readings a breath, never twice the same sound, over the
noise of a workshop that never stops. All readings go into one session: a real shift is many short
ones, this is the harder case. While an ear hears the clock stands still; what hearing takes is
added to the latency where it is longer than the quiet that is awaited anyway.

With --said 0.5 only the first and the last half hour are said; the readings between are entered
into the session as if they had been. With --share 0.25 a breath that was heard before is really
heard again one time in four; the other times the ears are spared and what they told before is
taken. All else stays real.

Printed for each hour, and the last hour against the first: readings, how many were asked about or
wrong, end of speech to the beginning of the read-back (breaths really heard), processor time of
taking down (journal, diagnosis, wording), of this process for each reading and of the ears for
each breath heard, memory. --hours may be less; readings go with it.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

sys.path[:0] = [str(Path(__file__).parents[2])]

from assistant.audio.microphone import BLOCK, Block  # noqa: E402
from assistant.audio.noise import fan, hum, impulses  # noqa: E402
from assistant.audio.utterance import RATE, Utterance  # noqa: E402
from assistant.hearing.heard import EarHearing  # noqa: E402
from assistant.live.bench import Bench  # noqa: E402
from assistant.live.ears_process import EarsProcess  # noqa: E402
from assistant.live.listener import Listener  # noqa: E402
from assistant.open_assistant import open_assistant  # noqa: E402
from assistant.profile import load_profile, load_spoken  # noqa: E402
from assistant.record.body import reading_body  # noqa: E402
from assistant.record.store import Store  # noqa: E402
from assistant.report.transcript import Transcript  # noqa: E402
from assistant.speaking.reply import Reply  # noqa: E402
from assistant.wording.parser import Parser  # noqa: E402
from assistant.wording.statement import ReadingSaid  # noqa: E402
from tests.hearing.demo_speech import every  # noqa: E402

Samples = NDArray[np.float32]
BLOCK_SECONDS = BLOCK / RATE
NOISE_DB, BED_SECONDS = -48.0, 300
BETWEEN = 0.05
"""Seconds between two readings of one breath."""
WORDS_A_SECOND = 160 / 60
REACTION = 0.6
"""Seconds between the end of the read-back and the next breath."""
BREATHS = 60
"""Different breaths; each is said again and again over other noise."""
ASKING = ("what next", "why", "likely causes", "undocked", "charging works")
"""Said in turn, one after every twelve breaths; a context among them stays in force."""


@dataclass(slots=True)
class Hour:
    """What one hour gave."""

    readings: int = 0
    asked: int = 0
    wrong: int = 0
    latency: list[float] = field(default_factory=list)
    taking: list[float] = field(default_factory=list)
    cpu: float = 0.0
    cpu_ears: float = 0.0
    heard: int = 0
    spared: int = 0
    memory: tuple[float, float] = (0.0, 0.0)
    seconds: float = 0.0


class TimedEars:
    """The ears in their process; ``idle`` while they hear nothing. ``took`` holds the clock's time
    at which they began last, and the seconds that they needed."""

    def __init__(
        self, ears: EarsProcess, clock: Callable[[], float], spare: Callable[[], bool]
    ) -> None:
        self._ears = ears
        self._clock = clock
        self._spare = spare
        self._heard: dict[object, tuple[float, list[EarHearing]]] = {}
        self.breath: object = None
        self.heard = self.spared = 0
        self.really = True
        self.idle = threading.Event()
        self.idle.set()
        self.took = (0.0, 0.0)

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        key = self.breath, round(utterance.end - utterance.start, 1)
        self.really = key not in self._heard or not self._spare()
        if not self.really:
            self.spared += 1
            start, known = self._heard[key]
            yield from (moved(hearing, utterance.start - start) for hearing in known)
            return
        self.idle.clear()
        self.heard += 1
        told: list[EarHearing] = []
        began, start = self._clock(), time.perf_counter()
        try:
            for count, hearing in enumerate(self._ears.listen(utterance), start=1):
                if count == 2:
                    self.took = began, time.perf_counter() - start
                    self.idle.set()
                    self._heard[key] = utterance.start, [*told, hearing]
                told.append(hearing)
                yield hearing
        finally:
            self.idle.set()


def moved(hearing: EarHearing, seconds: float) -> EarHearing:
    """The same words at another time."""
    hypotheses = tuple(
        replace(
            one,
            words=tuple(
                replace(word, start=word.start + seconds, end=word.end + seconds)
                for word in one.words
            ),
        )
        for one in hearing.hypotheses
    )
    return replace(hearing, hypotheses=hypotheses)


class Shift:
    """Microphone, loudspeaker, screen and keys of the bench at once, and the technician."""

    def __init__(
        self,
        hours: float,
        readings: int,
        said: float,
        share: float,
        seed: int,
        ears: EarsProcess,
        home: Path,
    ) -> None:
        self.blocks = 0
        self.hours: list[Hour] = []
        self.silent = ""
        self._end = hours * 3600
        self._said = said * 3600
        self._readings = readings
        self._chance = random.Random(seed)
        self._bed = bed(np.random.default_rng(seed), BED_SECONDS)
        self._breaths = 0
        self._due = ""
        self._broken_off = False
        self._next = 1.0
        self._speech: list[Samples] = []
        self._spoke_until = 0.0
        self._speaking_until = 0.0
        self._pressed = False
        self._process = ears._process.pid
        self.ears = TimedEars(ears, lambda: self.now, lambda: self._chance.random() >= share)
        profile = load_profile()
        self.assistant = open_assistant(
            Store(home), profile, ears=self.ears, trusted=ears.trusted, models=ears.models
        )
        choice = sounds(Parser(profile, load_spoken()))
        self._truth = {value for _, _, value in choice}
        known = [(sound, words) for sound, words, _ in choice]
        self._pool = [self._chance.sample(known, 2) for _ in range(BREATHS)]
        self._take_down, self.assistant.take_down = self.assistant.take_down, self.take_down  # type: ignore[method-assign]
        self.listener = Listener(self.assistant)
        rest: Any = (self, self, Transcript(self.assistant, quiet=True), self)
        self.bench = Bench(self.assistant, self.listener, *rest)
        self._last = (*self.cpu(), 0, 0, time.perf_counter())

    @property
    def now(self) -> float:
        """Seconds of the shift."""
        return self.blocks * BLOCK_SECONDS

    @property
    def hour(self) -> Hour:
        while len(self.hours) <= self.now // 3600:
            self._close_hour()
            self.hours.append(Hour())
        return self.hours[-1]

    def work(self) -> None:
        self.assistant.type("unit one four")
        self.assistant.type("before repair, undocked")
        self._aloud()
        if not self._broken_off and 2 * self._said < self._end:
            self._fill_until(self._end - self._said)
            self._aloud()
        self._close_hour()

    def _fill_until(self, now: float) -> None:
        """What was taken down so far, again and again, straight into the journal."""
        self._close_hour()
        record = self.assistant.record
        bodies = [{**reading_body(r), "replaces": None} for r in record.session.readings]
        due = round(self._readings * now / self._end)
        for number in range(len(bodies), due):
            record._append("reading", bodies[number % len(bodies)])
        self.assistant._diagnosis = None
        print(f"      {due} readings in the session, most of them not said", flush=True)
        self.hours += [Hour() for _ in range(int(now // 3600) - len(self.hours) + 1)]
        self.blocks, self._next = round(now / BLOCK_SECONDS), now + 1.0
        self._due = "undocked"  # so long a pause has let it lapse
        self._last = (*self.cpu(), self.ears.heard, self.ears.spared, time.perf_counter())

    def _aloud(self) -> None:
        self.bench._stopped.clear()
        try:
            self.bench.run(lambda: self, lambda: None)  # type: ignore[arg-type, return-value]
        except KeyboardInterrupt:
            print(f"ended after {self.now / 3600:.2f} hours; the last one is left out")
            self.hours.pop()
            self._broken_off = True

    # The microphone.

    def read(self, _: float) -> Block:
        self.ears.idle.wait()
        for ahead in (self.listener._ended, self.listener._ahead):
            if ahead is not None and ahead._decided.is_set():
                ahead.wait()
        self.blocks += 1
        if self.now >= self._end or self._said <= self.now < self._end - self._said:
            self.bench.stop()
        elif not self._speech and self.now >= self._next:
            self._breathe()
        first = self.blocks * BLOCK % len(self._bed)
        samples = self._bed[first : first + BLOCK]
        if self._speech:
            samples = samples + self._speech.pop(0)
            self._spoke_until = self.now
        return Block(samples)

    def forget(self) -> int:
        return 0

    def __enter__(self) -> Shift:
        return self

    def __exit__(self, *_: object) -> None: ...

    def _breathe(self) -> None:
        """Says the next thing; a read-back that still goes on is cut short first."""
        if self.speaking:
            self._pressed = True
        if self.speaking or self.listener.busy or self.listener.voice_open:
            self._next = self.now + REACTION
            return
        self._breaths += 1
        taken = len(self.assistant.session.readings)
        said = sum(hour.readings for hour in self.hours)
        each = said / self._breaths if self._breaths > 20 else 1.6
        left = max(1.0, (self._readings - taken) / each)
        self._next = self.now + (self._end - self.now) / left
        if self._due or self._breaths % 12 == 0:
            words = self._due or ASKING[self._breaths // 12 % len(ASKING)]
            self._due = ""
            said = [next(u.samples for text, u in every() if text == words)]
            self.ears.breath = words
        else:
            self.ears.breath = number = self._chance.randrange(len(self._pool))
            chosen = self._pool[number]
            said = [sound for sound, _ in chosen]
        gap = np.zeros(round(BETWEEN * RATE), np.float32)
        whole = np.concatenate([part for sound in said for part in (sound, gap)])
        whole = whole * np.float32(self._chance.uniform(0.7, 1.0))
        whole = np.pad(whole, (0, -len(whole) % BLOCK))
        self._speech = list(whole.reshape(-1, BLOCK))

    # The loudspeaker.

    @property
    def speaking(self) -> bool:
        return self.now < self._speaking_until

    def start(self, replies: Sequence[Reply]) -> None:
        words = sum(len(reply.spoken.split()) for reply in replies)
        self._speaking_until = self.now + words / WORDS_A_SECOND + 0.1
        if not self.ears.really:
            return
        began, needed = self.ears.took
        late = max(0.0, needed - (self.now - began))
        taken = self.hour.taking[-1:] or [0.0]
        self.hour.latency.append(self.now - self._spoke_until + late + taken[0])

    def stop(self) -> None:
        self._speaking_until = 0.0

    def wait(self) -> None: ...

    def look_again(self) -> None: ...

    # The keys and the screen.

    def pressed(self) -> list[str]:
        keys, self._pressed = [" "] * self._pressed, False
        return keys

    def level(self, _: Samples) -> None: ...

    def doing(self, _: str) -> None: ...

    def heard_by(self, _: Sequence[str]) -> None: ...

    def show(self, _: str, __: Reply) -> None: ...

    # What is measured.

    def take_down(self, attended: Any) -> Any:
        start = time.thread_time()
        turn = self._take_down(attended)
        self.hour.taking.append(time.thread_time() - start)
        for entry in turn.entries:
            if entry.kind != "reading":
                continue
            body = entry.body
            self.hour.readings += 1
            if body["status"] == "asked":
                self.hour.asked += 1
            elif (body["quantity"], body["position"], str(body["value"])) not in self._truth:
                self.hour.wrong += 1
        return turn

    def cpu(self) -> tuple[float, float]:
        """Processor seconds of this process and of the ears."""
        fields = Path(f"/proc/{self._process}/stat").read_text().rpartition(")")[2].split()
        return time.process_time(), sum(map(int, fields[11:13])) / os.sysconf("SC_CLK_TCK")

    def memory(self) -> tuple[float, float]:
        """MB of this process and of the ears."""
        page = os.sysconf("SC_PAGE_SIZE") / 1e6
        both = ("self", str(self._process))
        first, second = (int(Path(f"/proc/{p}/statm").read_text().split()[1]) * page for p in both)
        return first, second

    def _close_hour(self) -> None:
        if not self.hours or self.hours[-1].seconds or not self.hours[-1].readings:
            return
        hour = self.hours[-1]
        here = (*self.cpu(), self.ears.heard, self.ears.spared, time.perf_counter())
        spent = [now - before for now, before in zip(here, self._last, strict=True)]
        hour.cpu, hour.cpu_ears, hour.heard, hour.spared, hour.seconds = spent  # type: ignore[assignment]
        hour.memory, self._last = self.memory(), here
        print(row(len(self.hours), hour), flush=True)


def sounds(parser: Parser) -> list[tuple[Samples, str, tuple[str, str | None, str]]]:
    """The shipped utterances that are one reading in every context, cut close, with their words
    and the reading's quantity, position and value."""
    found = []
    for words, utterance in every():
        said = parser.parse_text(words)
        if len(said) != 1 or not isinstance(said[0], ReadingSaid) or said[0].corrects:
            continue
        value = said[0]
        margin = round(0.35 * RATE)
        key = (str(value.quantity), value.position, str(value.value.number))
        found.append((utterance.samples[margin:-margin], words, key))
    return found


def bed(rng: np.random.Generator, seconds: int) -> Samples:
    """The noise of a workshop: air, mains and now and then a tool that falls."""
    n = seconds * RATE // BLOCK * BLOCK
    noise = fan(n, rng) + 0.3 * hum(n, rng) + 0.3 * impulses(n, rng, 0.05)
    noise = noise / np.sqrt(np.mean(np.square(noise))) * 10 ** (NOISE_DB / 20)
    return np.asarray(noise, np.float32)


HEAD = (
    "hour  readings  asked  wrong  latency p50   p95    taking down p50   p95   "
    "cpu a reading  of ears a breath  heard spared  memory (with ears)  wall"
)


def row(number: int, hour: Hour) -> str:
    middle, late = np.percentile(hour.latency or [0.0], [50, 95])
    took, most = np.percentile(hour.taking or [0.0], [50, 95]) * 1e3
    each, hearing = hour.cpu / max(1, hour.readings), hour.cpu_ears / max(1, hour.heard)
    own, ears = hour.memory
    cells = (
        f"{number:4d}  {hour.readings:8d}  {hour.asked:5d}  {hour.wrong:5d}",
        f"{middle:9.2f} s {late:5.2f} s   {took:8.1f} ms {most:7.1f} ms",
        f"{each:11.2f} s  {hearing:13.2f} s  {hour.heard:6d} {hour.spared:6d}",
        f"{own:7.0f} ({own + ears:.0f}) MB  {hour.seconds:6.0f} s",
    )
    return "  ".join(cells)


def compare(first: Hour, last: Hour) -> str:
    def ratio(name: str, one: float, other: float) -> str:
        return f"  {name}: {other / one:.2f} times" if one else f"  {name}: nothing to compare"

    def middle(values: list[float], part: int = 50) -> float:
        return float(np.percentile(values or [0.0], part))

    rows = [
        ratio("latency, median", middle(first.latency), middle(last.latency)),
        ratio("latency, 95 %", middle(first.latency, 95), middle(last.latency, 95)),
        ratio("taking down, median", middle(first.taking), middle(last.taking)),
        ratio(
            "processor time a reading, without the ears",
            first.cpu / max(1, first.readings),
            last.cpu / max(1, last.readings),
        ),
        ratio(
            "processor time of the ears, a breath heard",
            first.cpu_ears / max(1, first.heard),
            last.cpu_ears / max(1, last.heard),
        ),
        ratio("memory", sum(first.memory), sum(last.memory)),
    ]
    return "\n".join(["the last hour against the first", *rows])


def draw(hours: Sequence[Hour], path: Path) -> None:
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "shift"
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(1, 3, figsize=(9.0, 2.6), layout="constrained")
    hours = [hour for hour in hours if hour.readings]
    at = range(1, len(hours) + 1)
    parts = [
        ("end of speech to read-back, s", [np.percentile(h.latency, [50, 95]) for h in hours]),
        ("taking down, ms", [np.percentile(h.taking, [50, 95]) * 1e3 for h in hours]),
    ]
    for axis, (title, rows) in zip(axes, parts, strict=False):
        for column, label in enumerate(("median", "95 %")):
            axis.plot(at, [r[column] for r in rows], marker="o", label=label)
        axis.set_title(title, fontsize=9)
        axis.legend(fontsize=7)
    axes[2].plot(at, [sum(h.memory) for h in hours], marker="o", label="with ears")
    axes[2].plot(at, [h.memory[0] for h in hours], marker="o", label="without")
    axes[2].set_title("memory, MB", fontsize=9)
    axes[2].legend(fontsize=7)
    for axis in axes:
        axis.set_ylim(bottom=0)
        axis.set_xlabel("hour", fontsize=8)
        axis.tick_params(labelsize=8)
    figure.savefig(path, metadata={"Date": None})


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--hours", type=float, default=8.0)
    parser.add_argument("--readings", type=int, default=0, help="5,000 in eight hours if not given")
    parser.add_argument("--said", type=float, default=1e9, help="hours at both ends; else all")
    parser.add_argument("--share", type=float, default=1.0, help="of breaths said before")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--svg", type=Path)
    given = parser.parse_args()
    readings = given.readings or round(5000 / 8 * given.hours)
    start = time.perf_counter()
    with (
        tempfile.TemporaryDirectory() as home,
        EarsProcess("robot_mower", ["own", "letters"]) as ears,
    ):
        ears.ready()
        print(f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
        print(f"ears {ears.description}; {given.hours:g} hours, {readings} readings to come")
        print(HEAD, flush=True)
        shift = Shift(given.hours, readings, given.said, given.share, given.seed, ears, Path(home))
        shift.work()
        shift.listener.close()
        shift.assistant.close()
        [job] = shift.assistant.jobs
        hours = shift.hours
        if len(hours) > 1:
            print(compare(hours[0], hours[-1]))
        total = len(job.record.session.readings)
        size = (job.record.folder / "journal.jsonl").stat().st_size / 1e6
        begin = time.perf_counter()
        again = Store(Path(home)).open(job.record.folder.name, load_profile())
        opened = time.perf_counter() - begin
        assert again.head == job.record.head
        again.release()
    spent = time.perf_counter() - start
    print(
        f"{total} readings in the journal ({size:.1f} MB; opened and verified again in "
        f"{opened:.1f} s), {shift.ears.heard} utterances heard, "
        f"{shift.ears.spared} spared, {spent:.0f} s in all"
    )
    if given.svg:
        draw(hours, given.svg)


if __name__ == "__main__":
    main()
