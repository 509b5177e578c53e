"""A reading's label as it is written on a command line: QUANTITY or QUANTITY@POSITION."""

from __future__ import annotations

from assistant.errors import UnknownNameError
from assistant.profile.nearest import nearest
from assistant.profile.schema import Profile


def read_label(text: str, profile: Profile) -> tuple[str, str | None]:
    """Quantity and position; raises UnknownNameError naming what there is."""
    name, _, position = text.partition("@")
    quantity = next((q for q in profile.quantity if q.id == name), None)
    if quantity is None:
        ids = [q.id for q in profile.quantity]
        near = nearest(name, ids)
        there = f"The nearest: {', '.join(near)}" if near else f"There are: {', '.join(ids)}"
        raise UnknownNameError(f"There is no quantity {name!r}. {there}.")
    if position and position not in quantity.positions:
        there = ", ".join(quantity.positions) or "none: leave the @ and what follows out"
        raise UnknownNameError(f"{name} has no position {position!r}; it has: {there}.")
    return name, position or None
