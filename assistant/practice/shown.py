"""One value that a display shows or a voice says, as an exercise writes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Literal

from assistant.errors import UnknownNameError
from assistant.practice.marks import Sound
from assistant.profile.label import read_label
from assistant.profile.schema import Profile
from assistant.record.session import Reading

State = Literal["value", "no_reading", "off_scale"]


class ShownError(ValueError):
    """Says what is allowed instead."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A reading that should be in the record. ``stretch`` counts the stretches of work, each
    with one context. ``sound`` is where it was said, ``words`` how."""

    quantity: str
    position: str | None
    state: State
    value: str | None
    context: Mapping[str, str] = field(default_factory=dict)
    stretch: int = 0
    words: str = ""
    sound: Sound | None = None

    @property
    def label(self) -> tuple[str, str | None]:
        return self.quantity, self.position

    @property
    def told(self) -> tuple[State, Decimal | None]:
        """The value as a number: 12.50 and 12.5 are the same to a trainee."""
        return self.state, None if self.value is None else Decimal(self.value)

    def reading(self, id_: str, profile: Profile) -> Reading:
        """As it would stand in a perfect record."""
        unit = next(q.unit for q in profile.quantity if q.id == self.quantity)
        return Reading(
            id_,
            self.quantity,
            self.position,
            self.value,
            self.state,
            unit,
            dict(self.context),
            "accepted",
            heard=self.words,
        )


def read_shown(text: str, profile: Profile) -> tuple[str, str | None, State, str | None]:
    """Quantity, position, state, value. Raises ShownError."""
    label, _, said = text.strip().partition(" ")
    said = said.strip()
    try:
        quantity, position = read_label(label, profile)
    except UnknownNameError as error:
        raise ShownError(f'"quantity@position value"; {error}') from error
    positions = next(q.positions for q in profile.quantity if q.id == quantity)
    if positions and position is None:
        raise ShownError(f'"{quantity}@{positions[0]} value": say which of {", ".join(positions)}')
    if said == "no_reading":
        return quantity, position, "no_reading", None
    if said == "off_scale":
        return quantity, position, "off_scale", None
    try:
        Decimal(said)
    except InvalidOperation as error:
        raise ShownError(f'"{label} 12.5": a number, off_scale or no_reading') from error
    return quantity, position, "value", said
