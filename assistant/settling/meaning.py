"""Gives a said reading its full meaning: the label that was expected, the context that runs."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace

from assistant.profile.schema import Profile, Quantity
from assistant.settling.settled import Correctable, Expectation
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
    Statement,
)

NO_LABEL = "a number without a label: say which reading it is"
OTHER_UNIT = "that unit does not belong to what was asked for: say the label with it"
NOTHING_TO_CORRECT = "there is no reading that this could correct: say label and value"


@dataclass(frozen=True, slots=True)
class Meant:
    """A statement with its whole context, what is still missing to judge it, and the entry that
    it corrects."""

    statement: Statement
    context: Mapping[str, str]
    missing: tuple[str, ...] = ()
    corrects: str | None = None


def mean(statement: Statement, expectation: Expectation, profile: Profile) -> Meant:
    """Fills a bare number's label from the expectation, a correction's from the reading that it
    corrects, a generic quantity's from the wire said or running, and lists what is missing.

    A bare number that nothing expects is not understood, nor is a correction of nothing.
    """
    if not isinstance(statement, ReadingSaid):
        return Meant(statement, expectation.context)
    running = expectation.context
    corrected = None
    if statement.corrects:
        corrected = _corrected(statement, expectation, profile)
        if corrected is not None:
            running = {**running, **corrected.context}
            statement = replace(statement, quantity=corrected.quantity, position=corrected.position)
        elif statement.quantity is None:
            return Meant(NotUnderstood(statement.words, NOTHING_TO_CORRECT), running)
    elif statement.quantity is None:
        if expectation.quantity is None:
            return Meant(NotUnderstood(statement.words, NO_LABEL), running)
        if statement.unit not in (None, quantity_of(profile, expectation.quantity).unit):
            return Meant(NotUnderstood(statement.words, OTHER_UNIT), running)
        statement = replace(statement, quantity=expectation.quantity, position=expectation.position)
    assert statement.quantity is not None
    open_to_doubt = set(statement.unclear)
    context = {k: v for k, v in running.items() if k not in open_to_doubt}
    context |= dict(statement.context)
    quantity = quantity_of(profile, statement.quantity)
    missing = tuple(key for key in quantity.needs if key not in context)
    if quantity.decided_by is not None:
        member = quantity.members.get(context.get(quantity.decided_by, ""))
        if member is None:
            missing = (quantity.decided_by, *missing)
        else:
            statement = replace(statement, quantity=member)
    # What decides the quantity is in its name: "wire: guide" beside a battery's volts misleads.
    named = {q.decided_by for q in profile.quantity}
    context = {key: value for key, value in context.items() if key not in named}
    return Meant(statement, context, missing, corrected.id if corrected else None)


def key(meant: Meant) -> Hashable:
    """What two ears must have in common for a statement to count as agreed.

    A reading's whole tuple counts: quantity, position, signed value as said, context. A note's
    words do not: it is kept as words, with its sound, and judged by nobody.
    """
    match meant.statement:
        case ReadingSaid() as said:
            value = (said.value.state, said.value.number)
            context = (tuple(sorted(said.context)), tuple(sorted(said.unclear)))
            return ("reading", said.quantity, said.position, value, context, said.corrects)
        case ContextSaid(key=name, value=value, corrects=corrects):
            return ("context", name, value, corrects)
        case ObservationSaid(item=item, value=value, corrects=corrects):
            return ("observation", item, value, corrects)
        case CommandSaid(command=command, argument=argument):
            return ("command", command, argument)
        case NoteSaid():
            return ("note",)
        case other:
            return ("not understood", other.heard)


def quantity_of(profile: Profile, name: str) -> Quantity:
    return next(q for q in profile.quantity if q.id == name)


def _corrected(said: ReadingSaid, expectation: Expectation, profile: Profile) -> Correctable | None:
    """The latest reading that fits the label as far as it was said: "correction, one twenty" is
    about the last one, "correction, front one twenty" about the last front one."""
    names = {said.quantity}
    if said.quantity is not None:
        names |= set(quantity_of(profile, said.quantity).members.values())
    for recent in expectation.recent:
        named = said.quantity is None or recent.quantity in names
        if named and said.position in (None, recent.position):
            return recent
    return None
