"""What settling/ takes beside the statements, and what it gives on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from assistant.wording.statement import Statement

Status = Literal["accepted", "asked", "nothing"]


@dataclass(frozen=True, slots=True)
class Expectation:
    """What is open now: the running context, what a bare number would be, and the question that
    waits for an answer (the id of the asked entry, and which part is in doubt)."""

    context: Mapping[str, str] = field(default_factory=dict)
    quantity: str | None = None
    position: str | None = None
    question: str | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class Settled:
    """A statement with the decision on it.

    ``context`` is the whole context that holds for it (running and said). ``missing`` names what
    wasn't said and is needed to judge. ``doubts`` say in plain words why it is asked. ``heard``
    gives each ear's words for it, ear name first. ``answers`` is the id of the asked entry that
    this settles, None when it answers none.
    """

    statement: Statement
    status: Status
    context: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    heard: tuple[tuple[str, str], ...] = ()
    confidence: float = 0.0
    answers: str | None = None
