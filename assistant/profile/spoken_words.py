"""What is said in every trade alike: number words, letters and voice commands."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from assistant.profile.values import Id, Phrases, Pronunciations, Spoken, Table


class Command(Table):
    """A voice command. ``takes`` says what follows: nothing, an identifier, a label (quantity and
    position), an entry (a label, or an observation with or without its choice), a round's name,
    words to the end, or a whole statement ("correction …")."""

    id: Id
    spoken: Phrases
    takes: Literal["nothing", "identifier", "label", "entry", "round", "text", "statement"] = (
        "nothing"
    )
    help: str


class NumberWords(Table):
    """Every way a number's parts are said; a word maps to one value only within a table."""

    digits: dict[Spoken, int]
    teens: dict[Spoken, int]
    tens: dict[Spoken, int]
    scales: dict[Spoken, int]
    minus: tuple[Spoken, ...]
    point: tuple[Spoken, ...]
    joiner: tuple[Spoken, ...]
    """"and" in "one hundred and two"."""
    article: tuple[Spoken, ...]
    """"a" in "a hundred"."""
    repeat: dict[Spoken, int]
    """"double" 2, "triple" 3."""
    sounds_alike: tuple[tuple[Spoken, Spoken], ...] = ()
    """Number words that are easily taken for one another."""
    fractions: dict[Spoken, str]
    """"and a half" as its decimal part: "half" to "5", "quarter" to "25"."""
    never_alone: tuple[Spoken, ...] = ()
    """Digits only beside other figures: "oh" alone is no zero but an exclamation."""

    @property
    def alike(self) -> dict[str, str]:
        """Each word that sounds like another, with that one."""
        return {a: b for pair in self.sounds_alike for a, b in (pair, pair[::-1])}


class SpokenWords(Table):
    """grammars/spoken.toml: number words and voice commands, the same for every trade."""

    numbers: NumberWords
    no_reading: tuple[Spoken, ...]
    off_scale: tuple[Spoken, ...]
    fillers: tuple[Spoken, ...]
    """Words that carry nothing and may stand anywhere ("is", "the", "reads")."""
    before_label: tuple[Spoken, ...] = ()
    """Those of them that recognisers listen for in front of a label."""
    before_number: tuple[Spoken, ...] = ()
    """The same between a label and its number."""
    before_choice: tuple[Spoken, ...] = ()
    """The same between what is seen and how it is ("blades are chipped")."""
    value_first: tuple[Spoken, ...] = ()
    """Those of them that join a value to the label said after it ("102 on the front guide")."""
    letters: dict[Spoken, str] = Field(default_factory=dict)
    """Letters of an identifier by name or alphabet: "alfa" to "A"."""
    pronunciations: Pronunciations = Field(default_factory=dict)
    """ARPABET phones for words that the pronouncing dictionary lacks."""
    command: tuple[Command, ...]

    def before_context(self, machine: str) -> tuple[str, ...]:
        """Said before a context, carrying nothing ("the mower is docked"); not where the machine
        is called what a command is ("unit is one four")."""
        named = any(machine.lower() in command.spoken for command in self.command)
        return () if named else (f"{machine.lower()} is",)
