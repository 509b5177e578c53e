"""What is open between technician and assistant: the question asked, the readings that wait for a
context, the label that a bare number would have, and the step of a guided round."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from assistant.guided_round import GuidedRound
from assistant.profile.schema import Profile, Quantity
from assistant.record.session import Reading, Session
from assistant.settling.settled import Correctable, Expectation, OpenQuestion, Settled
from assistant.speaking.reply import Reply

Label = tuple[str, str | None]
"""Quantity and position."""

CONTEXT_ALONE = ("context",)
"""The doubts of a reading whose label and number are certain."""


class Conversation:
    """Changes with every statement; holds nothing that the journal does not tell again."""

    def __init__(self, profile: Profile, expected: Label | None = None) -> None:
        self._profile = profile
        self._expected = expected
        self.question: OpenQuestion | None = None
        self.waiting: tuple[str, ...] = ()
        self.round: GuidedRound | None = None
        self.standing_by = False
        self._still_waiting = False
        self._asked: tuple[str, ...] = ()
        self.last_said: tuple[Reply, ...] = ()

    def expectation(self, session: Session) -> Expectation:
        """What settling has to know of all this."""
        quantity, position = self._bare_number()
        latest: dict[Label, Reading] = {}
        for reading in reversed(session.readings):
            latest.setdefault((reading.quantity, reading.position), reading)
        recent = tuple(
            Correctable(r.id, r.quantity, r.position, r.context) for r in latest.values()
        )
        return Expectation(session.context, quantity, position, self.question, recent)

    def took(self, reading: Reading, settled: Settled) -> None:
        """A reading was entered: it may open a question, answer one, or wait for a context.

        Readings that lack a context wait together as long as nothing else comes between, so that
        one "docked" after both answers for both, and none answers for an old one.
        """
        if self.question is not None and settled.answers == self.question.id:
            self.question = None
        if reading.status == "asked":
            self.question = OpenQuestion(
                reading.id,
                reading.quantity,
                reading.position,
                settled.doubts,
                settled.says,
                reading.value or reading.state,
                settled.odds,
                reading.context,
            )
        lacks = bool(self._lacks(reading))
        self.waiting = (*self.waiting, reading.id) if lacks else ()
        self.keep_waiting(lacks)
        if reading.status == "accepted" and not reading.missing and self.round is not None:
            self.round.took(reading.quantity, reading.position, reading.context)

    def complete(self, reading: Reading) -> None:
        """A reading that waited has all its contexts now."""
        if self.question is not None and self.question.id == reading.id:
            self.question = None
        if self.round is not None:
            self.round.took(reading.quantity, reading.position, reading.context)

    def answered(self) -> None:
        """The question was affirmed or withdrawn."""
        self.question = None

    def ask_for(self, quantity: str, position: str | None) -> None:
        """The next bare number is this reading."""
        self._expected = (quantity, position)

    def wait_for(self, reading: Reading) -> None:
        """Its question was asked once more, and is the only one that the next context answers."""
        self.waiting = (reading.id,)
        self.keep_waiting(True)

    def begin_turn(self) -> None:
        """What is said now answers what was asked before: which of its own readings a context
        governs has been settled when the utterance was read."""
        self._still_waiting = False
        self._asked = self.waiting

    def keep_waiting(self, waits: bool) -> None:
        """This turn adds to what waits, answers a part of it, or only asks back."""
        self._still_waiting = self._still_waiting or waits

    def end_turn(self) -> None:
        """Where something else was said, what waits stays open and is listed at the end: a
        context said later belongs to what is measured then."""
        if not self._still_waiting:
            self.waiting = ()

    def completed_by(self, key: str, value: str, session: Session) -> Mapping[str, dict[str, Any]]:
        """The changes to waiting readings that a context just said answers."""
        changes = {
            r.id: self._completed(r, key, value)
            for r in session.readings
            if r.id in self.waiting and r.id in self._asked and key in self._lacks(r)
        }
        self.keep_waiting(any(change["missing"] for change in changes.values()))
        return changes

    def _lacks(self, reading: Reading) -> tuple[str, ...]:
        """The contexts that are asked for: those missing, or the one that it needs where nothing
        but that was not heard for certain."""
        needs = self._quantity(reading).needs
        in_doubt = needs if reading.doubts == CONTEXT_ALONE and len(needs) == 1 else ()
        return (*reading.missing, *in_doubt)

    def _quantity(self, reading: Reading) -> Quantity:
        return next(q for q in self._profile.quantity if q.id == reading.quantity)

    def _completed(self, reading: Reading, key: str, value: str) -> dict[str, Any]:
        quantity = self._quantity(reading)
        change: dict[str, Any] = {"missing": tuple(k for k in reading.missing if k != key)}
        if reading.doubts == CONTEXT_ALONE and key in quantity.needs:
            change |= {"status": "accepted", "doubts": ()}
        if key == quantity.decided_by:
            change["quantity"] = quantity.members.get(value, reading.quantity)
        else:
            change["context"] = {**reading.context, key: value}
        return change

    def _bare_number(self) -> tuple[str | None, str | None]:
        if self.question is not None and "label" not in self.question.doubts:
            return self.question.quantity, self.question.position
        step = self.round.expects if self.round is not None else None
        return step or self._expected or (None, None)


def lapsing(profile: Profile, minutes: float = math.inf) -> list[str]:
    """The contexts that don't outlive so many minutes in which nothing was said."""
    after = {c.id: c.lapses_after_minutes for c in profile.context}
    return [name for name, most in after.items() if most is not None and minutes > most]


def corrected_by(key: str, value: str, readings: Sequence[Reading]) -> Mapping[str, dict[str, Any]]:
    """The changes to readings that "correction, undocked" touches: the latest ones in a row that
    were taken under the wrong value. Where the context was unknown, another row begins."""
    changes: dict[str, dict[str, Any]] = {}
    wrong = None
    for reading in reversed(readings):
        said = reading.context.get(key)
        wrong = wrong or said
        if said in (None, value) or said != wrong:
            break
        changes[reading.id] = {"context": {**reading.context, key: value}}
    return changes
