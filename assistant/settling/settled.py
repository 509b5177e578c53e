"""What settling/ takes beside the hearings, and what it gives on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from assistant.wording.statement import Statement

Status = Literal["accepted", "asked", "nothing"]
Doubt = Literal[
    "value", "label", "context", "start", "plausible", "one_ear", "unverified", "alike", "close"
]
"""Why something is asked: the ears differ in the number, in the label or in the context; the
start may be cut off; the value can't be; only one ear heard it; this pair of ears has not shown
that it may accept; a word that sounds alike would make another value; the ears themselves hold
something else for nearly as likely."""


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """An asked reading that waits for its answer. ``says`` are the values that each ear heard so
    far, ear name first: a second say is combined with them, across ears only. ``value``, ``odds``
    and ``context`` are those of the reading that was read back."""

    id: str
    quantity: str
    position: str | None
    doubts: tuple[Doubt, ...] = ()
    says: tuple[tuple[str, str], ...] = ()
    value: str = ""
    odds: float | None = None
    context: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Correctable:
    """A reading in the record that a correction may be about."""

    id: str
    quantity: str
    position: str | None
    context: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Expectation:
    """What is open now: the running context, what a bare number would be, the question that waits
    for an answer, and the last reading of each label, which may be corrected, the latest first."""

    context: Mapping[str, str] = field(default_factory=dict)
    quantity: str | None = None
    position: str | None = None
    question: OpenQuestion | None = None
    recent: Sequence[Correctable] = ()


@dataclass(frozen=True, slots=True)
class Settled:
    """A statement with the decision on it.

    ``statement`` has its label filled in (a bare number that was expected, a generic quantity
    that a context decides). ``context`` is the whole context that holds for it, running and said.
    ``missing`` names what wasn't said and is needed to judge. ``heard`` gives each ear's words for
    the utterance, ear name first, and ``says`` each ear's value for this reading. ``answers`` is
    the id of the entry that this answers or corrects. ``odds`` (nats): how much likelier the ears
    that heard it hold it than anything else.
    """

    statement: Statement
    status: Status
    context: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    heard: tuple[tuple[str, str], ...] = ()
    says: tuple[tuple[str, str], ...] = ()
    confidence: float = 0.0
    answers: str | None = None
    odds: float | None = None
