"""One value that a display shows or a voice says, as an exercise writes it."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Literal

from assistant.errors import UnknownNameError
from assistant.profile.label import read_label
from assistant.profile.schema import Profile

State = Literal["value", "no_reading", "off_scale"]


class ShownError(ValueError):
    """Says what is allowed instead."""


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
