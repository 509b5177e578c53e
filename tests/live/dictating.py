"""A process that dictates as fast as the bench takes it down, to be killed; run by kills.py.

    python tests/live/dictating.py HOME < orders

For each line on standard input, the number to begin with, a child is forked that goes on in the
session under HOME and dictates one running number after the other: sound made in code, voice
activity by level, ears that know the sound, and everything after them real, from the listener to
the journal and the transcript on standard output. "pid …" comes before, "dead" when it was killed.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2])]

from assistant.audio.microphone import BLOCK, Block  # noqa: E402
from assistant.live.bench import Bench  # noqa: E402
from assistant.live.listener import Listener  # noqa: E402
from assistant.open_assistant import open_assistant  # noqa: E402
from assistant.profile import load_profile  # noqa: E402
from assistant.record.store import Store  # noqa: E402
from assistant.report.transcript import Transcript  # noqa: E402
from assistant.speaking.digits import DIGITS  # noqa: E402
from tests.live.said_by_level import Language, LanguageEars, loud, quiet  # noqa: E402
from tests.live.test_bench import FakeKeys, FakeLoudspeaker, FakeScreen  # noqa: E402

PROFILE = load_profile()


class Dictation:
    """A microphone into which a number is spoken whenever the bench listens again."""

    def __init__(self, first: int, language: Language, loudspeaker: FakeLoudspeaker) -> None:
        self._number = first
        self._language = language
        self._loudspeaker = loudspeaker
        self._blocks: list[Any] = list(quiet(0.5).reshape(-1, BLOCK))

    def read(self, _: float) -> Block:
        self._loudspeaker.blocks_left = max(0, self._loudspeaker.blocks_left - 1)
        if not self._blocks and not self._loudspeaker.speaking:
            digits = " ".join(DIGITS[int(digit)] for digit in str(self._number))
            said = self._language.say(f"running hours {digits}")
            self._blocks = [*quiet(0.3).reshape(-1, BLOCK), *said.reshape(-1, BLOCK)]
            self._blocks += [*quiet(1.2).reshape(-1, BLOCK)]
            self._number += 1
        return Block(self._blocks.pop(0) if self._blocks else quiet(0.032))

    def forget(self) -> int:
        return 0

    def __enter__(self) -> Dictation:
        return self

    def __exit__(self, *_: object) -> None: ...


def dictate(home: Path, first: int) -> None:
    """Until killed."""
    store = Store(home)
    language, loudspeaker = Language(), FakeLoudspeaker()
    loudspeaker.blocks_each = 3
    ears = LanguageEars(language)
    assistant = open_assistant(store, PROFILE, ears=ears, trusted=lambda _a, _b: True, unit="14")
    parts: Any = (assistant, Listener(assistant, detector=loud), loudspeaker, FakeScreen())
    rest: Any = (Transcript(assistant), FakeKeys())
    bench = Bench(*parts, *rest)
    begun = [listed.id for listed in store.sessions() if not listed.trouble]
    if begun:
        bench.say(assistant.take_up(store.open(begun[-1], PROFILE)))
    microphone: Any = Dictation(first, language, loudspeaker)
    bench.run(lambda: microphone, lambda: None)


def main(home: Path) -> None:
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            print(f"pid {os.getpid()}", flush=True)
            dictate(home, int(line))
        os.waitpid(child, 0)
        os.write(1, b"\ndead\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
