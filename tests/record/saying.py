"""What a technician could have said, made in code for the tests of the record."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from assistant.hearing.heard import HeardWord
from assistant.settling.settled import Settled
from assistant.wording.statement import ContextSaid, ReadingSaid, Value


def words(text: str, start: float = 0.4) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(word, start + 0.3 * i, start + 0.3 * i + 0.25, 0.9)
        for i, word in enumerate(text.split())
    )


def reading(
    number: str | None = "102",
    quantity: str | None = "guide_signal",
    position: str | None = "front",
    *,
    status: Any = "accepted",
    corrects: bool = False,
    state: Any = "value",
    **settled: Any,
) -> Settled:
    said = ReadingSaid(
        words("guide front one oh two"),
        quantity,
        position,
        Value(state, number),
        corrects=corrects,
    )
    return Settled(said, status, **({"context": {"station": "docked"}} | settled))


def context(key: str, value: str | None) -> Settled:
    return Settled(ContextSaid(words(value or "mower moved"), key, value), "accepted")


class Ticks:
    """A clock that a test sets; each look moves it on by ``step`` seconds."""

    def __init__(self, step: float = 1.0) -> None:
        self.moment = datetime(2026, 11, 25, 17, 13, 5, 120_000, tzinfo=UTC)
        self.step = timedelta(seconds=step)

    def __call__(self) -> datetime:
        self.moment += self.step
        return self.moment
