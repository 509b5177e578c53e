"""Which readings count.

A label may be measured several times in one context: the latest counts for verdicts, all of them
for statistics. A context key decides for a quantity only where the profile says so (the loaded
contacts don't matter to a guide signal); before and after the repair are always kept apart, and
a reading of which it wasn't said is one from before.

Sideways shifts: a ``wire_shift`` reading says where the mower stands. Every later signal reading
in the same context was taken there, until the next ``wire_shift``. What was taken beside the wire
belongs to the fit of the wire's place and to no limit, since a signal beside the wire must be low.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.profile.schema import Profile, Where
from assistant.record.session import Reading, Session

REPAIR = "repair"
SHIFT = "wire_shift"
SIGNALS = ("guide_signal", "boundary_signal", "loop_signal")


@dataclass(frozen=True, slots=True)
class Place:
    """What was measured and where: ``context`` holds the deciding contexts only."""

    quantity: str
    position: str | None
    context: tuple[tuple[str, str], ...]


Places = Mapping[Place, Sequence[Reading]]
"""The readings of each place, the latest last."""


def deciding_contexts(profile: Profile, quantity: str) -> frozenset[str]:
    """The context keys that decide what a reading of this quantity means."""
    keys = {REPAIR}
    keys.update(*(q.needs for q in profile.quantity if q.id == quantity))
    keys.update(*(rule.when for rule in profile.tolerance if rule.quantity == quantity))
    keys.update(*(rule.when for rule in profile.pair if rule.quantity == quantity))
    return frozenset(keys)


def place_of(profile: Profile, reading: Reading) -> Place:
    return _place(reading, deciding_contexts(profile, reading.quantity))


def by_place(profile: Profile, readings: Iterable[Reading]) -> dict[Place, list[Reading]]:
    """All readings of each place, the latest last; places in the order of their first readings."""
    deciding: dict[str, frozenset[str]] = {}
    places: dict[Place, list[Reading]] = {}
    for reading in readings:
        quantity = reading.quantity
        if quantity not in deciding:
            deciding[quantity] = deciding_contexts(profile, quantity)
        places.setdefault(_place(reading, deciding[quantity]), []).append(reading)
    return places


def _place(reading: Reading, keys: frozenset[str]) -> Place:
    context = {**reading.context, REPAIR: phase_of(reading)}
    return Place(
        reading.quantity,
        reading.position,
        tuple(sorted((key, value) for key, value in context.items() if key in keys)),
    )


def phase_of(reading: Reading) -> str:
    """ "before" or "after" the repair; unsaid is before."""
    return reading.context.get(REPAIR, "before")


def applies(when: Where, context: Mapping[str, str]) -> Literal["yes", "no", "unsaid"]:
    """Whether a rule's contexts hold for a reading's."""
    if any(key in context and context[key] != value for key, value in when.items()):
        return "no"
    return "yes" if all(key in context for key in when) else "unsaid"


def taken_at_shift(session: Session) -> dict[str, Decimal]:
    """Reading id to the sideways shift (in the shift's unit) at which a signal was taken."""
    shifts: list[Reading] = []
    found: dict[str, Decimal] = {}
    for reading in session.judged:
        if reading.quantity == SHIFT:
            shifts.append(reading)
        elif reading.quantity in SIGNALS:
            here = next((s for s in reversed(shifts) if _same_context(s, reading)), None)
            if here is not None and here.number is not None:
                found[reading.id] = here.number
    return found


def over_the_wire(session: Session) -> list[Reading]:
    """The judged readings, less those taken beside the wire and the shifts themselves."""
    beside = {name for name, shift in taken_at_shift(session).items() if shift != 0}
    return [r for r in session.judged if r.id not in beside and r.quantity != SHIFT]


def _same_context(one: Reading, other: Reading) -> bool:
    """No context that both were given differs; the repair counts as said."""
    shared = one.context.keys() & other.context.keys() - {REPAIR}
    return phase_of(one) == phase_of(other) and all(
        one.context[key] == other.context[key] for key in shared
    )


def last_with_value(session: Session, quantity: str | None, **context: str) -> Reading | None:
    """The latest judged reading of a quantity, in a context if one is given; None when there is
    none or when it shows no value."""
    for reading in reversed(session.readings):
        mine = reading.quantity == quantity and reading.is_judged
        if mine and applies(context, reading.context) == "yes":
            return reading if reading.value is not None else None
    return None
