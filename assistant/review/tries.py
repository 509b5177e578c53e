"""Slows down whoever guesses passwords: a few wrong tries, then a wait."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

FREE = 5
WAIT = 60.0
MOST = 10_000


class Tries:
    """Counted by name, so that many addresses guessing one password don't help; an unknown name
    is counted like a known one, so that it tells nothing."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._wrong: dict[str, tuple[int, float]] = {}

    def wait(self, name: str) -> float:
        """Seconds until the next try for this name, 0 for at once."""
        count, last = self._wrong.get(name, (0, 0.0))
        return max(0.0, last + WAIT - self._clock()) if count >= FREE else 0.0

    def wrong(self, name: str) -> None:
        now = self._clock()
        if len(self._wrong) >= MOST:
            self._wrong = {n: t for n, t in self._wrong.items() if t[1] + WAIT > now}
        count, last = self._wrong.get(name, (0, 0.0))
        self._wrong[name] = (1 if last + WAIT <= now else count + 1, now)

    def right(self, name: str) -> None:
        self._wrong.pop(name, None)
