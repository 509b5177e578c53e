"""Browsers that were let in, and for how long: nothing of them outlives the server."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

WHOLE_SHIFT = 12 * 3600.0
IDLE = 4 * 3600.0
"""Seconds; a supervisor's day, and half of it without a word."""
MOST = 1000


def _token() -> str:
    return secrets.token_urlsafe(32)


@dataclass(slots=True)
class Visitor:
    """One browser. ``who`` signs its changes; ``named`` when a password proved that name.
    ``csrf`` is what its forms carry."""

    who: str
    named: bool
    came: float
    last: float
    key: str = field(default_factory=_token)
    csrf: str = field(default_factory=_token)


class Visitors:
    """``clock`` gives seconds that never go back."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._known: dict[str, Visitor] = {}

    def let_in(self, who: str = "", named: bool = False) -> Visitor:
        """A new visitor; the longest unseen makes room when there are too many."""
        now = self._clock()
        for key in [k for k, v in self._known.items() if self._is_over(v, now)]:
            del self._known[key]
        if len(self._known) >= MOST:
            del self._known[min(self._known, key=lambda k: self._known[k].last)]
        visitor = Visitor(who, named, now, now)
        self._known[visitor.key] = visitor
        return visitor

    def seen(self, key: str) -> Visitor | None:
        """The visitor who holds ``key``, None when there is none or the time is over."""
        visitor, now = self._known.get(key), self._clock()
        if visitor is None or self._is_over(visitor, now):
            self._known.pop(key, None)
            return None
        visitor.last = now
        return visitor

    def send_out(self, visitor: Visitor) -> None:
        self._known.pop(visitor.key, None)

    @staticmethod
    def _is_over(visitor: Visitor, now: float) -> bool:
        return now - visitor.came > WHOLE_SHIFT or now - visitor.last > IDLE
