"""What a session is once its journal is replayed: plain frozen values, no file behind them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

Status = Literal["accepted", "asked"]
Order = tuple[bool, int]
"""Sorts entries as they were made: by number, since a clock may be set back meanwhile; the
supervisor's come after the technician's."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, field by field as ``--json`` prints it. ``value`` is a decimal string with the
    said resolution, None unless ``state`` is "value". ``unit`` is a UCUM code. Times are seconds
    in ``source``; ``at`` is when it was entered (RFC 3339). ``audio`` is the SHA-256 of its sound.
    ``ears`` gives each ear's words, ``says`` each ear's value.
    ``by`` and ``reason`` are a supervisor's who corrected it, "" for the technician's own."""

    id: str
    quantity: str
    position: str | None
    value: str | None
    state: Literal["value", "no_reading", "off_scale"]
    unit: str
    context: Mapping[str, str]
    status: Status
    missing: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    confidence: float = 0.0
    heard: str = ""
    ears: Mapping[str, str] = field(default_factory=dict)
    says: Mapping[str, str] = field(default_factory=dict)
    source: str = ""
    start: float = 0.0
    end: float = 0.0
    replaces: str | None = None
    at: str = ""
    audio: str | None = None
    by: str = ""
    reason: str = ""

    @property
    def number(self) -> Decimal | None:
        return None if self.value is None else Decimal(self.value)

    @property
    def order(self) -> Order:
        return _order(self.id)

    @property
    def is_judged(self) -> bool:
        """Whether findings may use it: accepted, with nothing missing."""
        return self.status == "accepted" and not self.missing


@dataclass(frozen=True, slots=True)
class Observation:
    """Something seen or told: ``value`` is a choice's id, an identifier or free words."""

    id: str
    item: str
    value: str
    heard: str = ""
    replaces: str | None = None
    at: str = ""
    status: Status = "accepted"
    by: str = ""
    reason: str = ""

    @property
    def order(self) -> Order:
        return _order(self.id)


@dataclass(frozen=True, slots=True)
class Note:
    """A spoken note, or words that were not understood (``understood`` False), kept as heard."""

    id: str
    text: str
    understood: bool = True
    at: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class SignOff:
    """A supervisor's signature under everything up to the entry whose seal is ``head``.
    ``current``: nothing was entered after it, by either hand."""

    who: str
    at: str
    head: str
    current: bool


@dataclass(frozen=True, slots=True)
class Session:
    """A session as its journal tells it.

    ``readings`` and ``observations`` are the current ones in the order they were entered: what
    was replaced or withdrawn is in ``superseded`` only. A reading with status "asked" or with
    something ``missing`` is an open question and takes no part in any finding.
    ``context`` is the running context at the end. ``head`` is the hash of the last entry of the
    technician's journal. ``replaced_by`` names the entry that replaced or withdrew an id.
    ``opening`` is the first entry's body (hashes of profile and models, version, meters).
    ``conflicts`` tell in plain words which of a supervisor's changes could not be applied.
    """

    id: str
    profile: str
    opened: str = ""
    who: str = ""
    unit: str = ""
    readings: tuple[Reading, ...] = ()
    observations: tuple[Observation, ...] = ()
    notes: tuple[Note, ...] = ()
    superseded: tuple[Reading | Observation, ...] = ()
    context: Mapping[str, str] = field(default_factory=dict)
    closed: str | None = None
    head: str = ""
    opening: Mapping[str, object] = field(default_factory=dict)
    replaced_by: Mapping[str, str] = field(default_factory=dict)
    signed: SignOff | None = None
    conflicts: tuple[str, ...] = ()

    @property
    def judged(self) -> tuple[Reading, ...]:
        """The readings that findings may use."""
        return tuple(r for r in self.readings if r.is_judged)

    @property
    def standing(self) -> tuple[Reading | Observation, ...]:
        """What is in force: readings, then observations."""
        return (*self.readings, *self.observations)

    def in_place_of(self, entry_id: str) -> str:
        """The entry that at last took the place of this one, or withdrew it; itself where none
        did."""
        while entry_id in self.replaced_by:
            entry_id = self.replaced_by[entry_id]
        return entry_id

    @property
    def open_questions(self) -> tuple[Reading, ...]:
        return tuple(r for r in self.readings if not r.is_judged)


def _order(entry_id: str) -> Order:
    number = entry_id.removeprefix("r")
    return number != entry_id, int(number) if number.isdecimal() else 0
