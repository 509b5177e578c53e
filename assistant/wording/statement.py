"""What wording/ gives on: the things that can be said, one frozen value each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from assistant.hearing.heard import HeardWord

State = Literal["value", "no_reading", "off_scale"]


@dataclass(frozen=True, slots=True)
class Value:
    """A number as said. ``number`` is a decimal string that keeps the said resolution ("12.50"),
    None unless ``state`` is "value". ``may_go_on`` marks a number that more words could extend
    ("fourteen" … "point five"); it is only true of the last words of an utterance."""

    state: State
    number: str | None
    may_go_on: bool = False


@dataclass(frozen=True, slots=True)
class _Said:
    words: tuple[HeardWord, ...]

    @property
    def heard(self) -> str:
        """Without the comma that a line typed on has after it."""
        return " ".join(word.text for word in self.words).rstrip(",;")

    @property
    def start(self) -> float:
        return self.words[0].start if self.words else 0.0

    @property
    def end(self) -> float:
        return self.words[-1].end if self.words else 0.0

    @property
    def confidence(self) -> float:
        """The weakest word's: a reading is as sure as its most doubtful word."""
        return min((word.confidence for word in self.words), default=0.0)


@dataclass(frozen=True, slots=True)
class ReadingSaid(_Said):
    """A number with its label. ``quantity`` None: a bare number, a reading only while something
    is expected. ``context`` are the contexts of this utterance that govern it, (key, value) each;
    ``unclear`` are the keys that the utterance leaves open (two contexts were said after it), to
    be asked about whatever the running context says. ``corrects``: "correction" stood before it.
    ``unit`` is the said unit's UCUM code, None when unsaid."""

    quantity: str | None
    position: str | None
    value: Value
    unit: str | None = None
    context: tuple[tuple[str, str], ...] = ()
    unclear: tuple[str, ...] = ()
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class ContextSaid(_Said):
    """A context set ("docked") or, with ``value`` None, ended ("mower moved" ends several)."""

    key: str
    value: str | None
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class ObservationSaid(_Said):
    """Something seen or told, not measured: a choice ("blades worn"), an identifier
    ("serial …") or free words ("complaint …"). ``value`` is the choice's id or the words."""

    item: str
    value: str
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class CommandSaid(_Said):
    """A voice command; ``argument`` holds what follows it where it takes something
    (an identifier, "quantity@position", "observation@choice", words), else ""."""

    command: str
    argument: str = ""


@dataclass(frozen=True, slots=True)
class NoteSaid(_Said):
    """A spoken note, kept as the words heard."""

    text: str


@dataclass(frozen=True, slots=True)
class NotUnderstood(_Said):
    """Words that make no statement; ``reason`` says why, for the user. ``may_go_on``: the
    utterance was broken off ("battery twelve point …", "front …"), more words could complete it."""

    reason: str
    may_go_on: bool = False


Statement = ReadingSaid | ContextSaid | ObservationSaid | CommandSaid | NoteSaid | NotUnderstood
