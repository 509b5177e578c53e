"""The shape of a profile: what a TOML file in grammars/ may say, validated by pydantic.

A profile is the trade as data. From this one description come the recognisers' grammars, the
parser's labels, the checks and the documentation. Every model forbids unknown keys, so that a
misspelt field is told and not ignored. ``source`` says where a value comes from: a standard, the
maker's manual to be consulted, or "this depot's fleet, common practice, no source".
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from assistant.profile.rules import Cause, Check, Computed, Pair, Sign, Tolerance
from assistant.profile.spoken_words import Command, NumberWords, SpokenWords
from assistant.profile.values import Id, Phrases, Pronunciations, Spoken, Table, Unit, Where

__all__ = [
    "Cause",
    "Check",
    "Choice",
    "Command",
    "Computed",
    "Context",
    "ContextValue",
    "Event",
    "Header",
    "NumberWords",
    "Observation",
    "Pair",
    "Position",
    "Profile",
    "Quantity",
    "Round",
    "Sign",
    "SpokenWords",
    "Step",
    "Tolerance",
    "Where",
]


class Header(Table):
    id: Id
    title: str
    version: str
    machine: str = "unit"
    """What one of the things is called that are worked on: "mower", "tractor"."""
    notice: str
    """Said to every reader of the file: whose tolerances these are."""
    pronunciations: Pronunciations = Field(default_factory=dict)
    """ARPABET phones for words that the pronouncing dictionary lacks."""


class Position(Table):
    id: Id
    title: str
    spoken: Phrases
    quantity: Id | None = None
    """The quantity meant when the position is said without a label."""


class ContextValue(Table):
    id: Id
    spoken: Phrases
    written: tuple[Spoken, ...] = ()
    """How a recogniser of free speech, which lacks the word, writes it."""
    reach: str = ""
    """What to do so that it holds ("drive the mower out of the station first")."""
    seen: str = ""
    """How one sees that it holds, for exercises, without the words that say it."""


class Context(Table):
    """Something that decides what a number means. It sticks until it changes or lapses."""

    id: Id
    title: str
    ask: str
    """The question that asks for it."""
    value: tuple[ContextValue, ...]
    mistakable: tuple[Spoken, ...] = ()
    """Words that sound like two of its values ("and docked", "undocked"): it is asked for."""
    lapses_after_minutes: float | None = Field(default=None, gt=0)


class Event(Table):
    """Something done that ends contexts ("mower moved")."""

    id: Id
    spoken: Phrases
    ends: tuple[Id, ...]


class Quantity(Table):
    id: Id
    title: str
    spoken: Phrases
    unit: Unit
    unit_spoken: tuple[Spoken, ...] = ()
    """How the unit is said; the first is how it is said back."""
    plausible: tuple[float, float]
    """A value outside (limits included as plausible) can't be: it is asked again, not flagged."""
    decimals: int = Field(default=0, ge=0, le=6)
    """The finest resolution the display or meter shows."""
    positions: tuple[Id, ...] = ()
    needs: tuple[Id, ...] = ()
    """Contexts without which the number can't be judged."""
    members: dict[Id, Id] = Field(default_factory=dict)
    """For a quantity that stands for one of several until a word decides: the deciding context's
    value to the quantity meant ("guide" to guide_signal)."""
    decided_by: Id | None = None
    """The context whose value picks among ``members``; it is listed as missing until said."""
    source: str = ""


class Choice(Table):
    id: Id
    spoken: Phrases
    verdict: Literal["ok", "suspect", "out"] = "ok"
    reason: str = ""


class Observation(Table):
    """Something seen or told. ``kind``: one of listed choices, an identifier (letters and
    digits), or free words to the end of the utterance."""

    id: Id
    title: str
    spoken: Phrases
    kind: Literal["choice", "identifier", "text"]
    choice: tuple[Choice, ...] = ()
    comparison: bool = False
    """Tried against a known good part: it tells what was wrong before the repair, whenever it is
    said, and there is nothing of it to measure again."""
    caution: str = ""
    source: str = ""


class Step(Table):
    """One step of a round: a reading ("quantity" or "quantity@position") or an observation to
    take, in a context, said as ``say``, its caution first."""

    take: str
    say: str
    when: Where = Field(default_factory=dict)
    caution: str = ""


class Round(Table):
    id: Id
    title: str
    spoken: Phrases
    step: tuple[Step, ...]
    release: bool = False
    """This round must be complete before a mower may be called ready for use."""


class Profile(Table):
    """One trade. The field names are the table names of the TOML file."""

    profile: Header
    position: tuple[Position, ...] = ()
    context: tuple[Context, ...] = ()
    event: tuple[Event, ...] = ()
    quantity: tuple[Quantity, ...]
    observation: tuple[Observation, ...] = ()
    tolerance: tuple[Tolerance, ...] = ()
    pair: tuple[Pair, ...] = ()
    computed: tuple[Computed, ...] = ()
    sign: tuple[Sign, ...] = ()
    cause: tuple[Cause, ...] = ()
    check: tuple[Check, ...] = ()
    round: tuple[Round, ...] = ()
    constants: dict[Id, float] = Field(default_factory=dict)
    """Numbers that computed rules take (coil axis, copper coefficient …), by name."""

    @property
    def id(self) -> str:
        return self.profile.id
