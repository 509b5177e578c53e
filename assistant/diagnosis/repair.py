"""Proof of a repair: what was flagged before, measured again after in the same context.

A round marked as release in the profile must be complete, and nothing in it flagged, before a
mower may be called ready for use.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.diagnosis.finding import Finding, RepairProof
from assistant.diagnosis.measured import REPAIR, applies, phase_of, place_of
from assistant.profile.schema import Profile, Step
from assistant.record.session import Reading, Session

Key = tuple[object, ...]


def repair_proofs(
    profile: Profile, session: Session, before: Iterable[Finding], after: Iterable[Finding]
) -> Iterator[RepairProof]:
    """One for each thing flagged before the repair."""
    readings = {reading.id: reading for reading in session.readings}
    again = {_key(profile, readings, f): f for f in after}
    for old in before:
        if not old.flagged:
            continue
        new = again.get(_key(profile, readings, old))
        if new is None or new.verdict in ("unknown", "not_applicable"):
            why = f"not measured again since the repair. Before: {old.reason}"
            yield RepairProof(old.rule, "not_measured", old.about, why)
        elif new.flagged:
            yield RepairProof(
                old.rule, "remains", (*old.about, *new.about), f"remains: {new.reason}"
            )
        else:
            why = f"gone: {new.reason}. Before: {old.reason}"
            yield RepairProof(old.rule, "gone", (*old.about, *new.about), why)


def release_missing(profile: Profile, session: Session) -> tuple[str, ...]:
    """What the release rounds still lack, in words; a profile without such a round says so."""
    steps = [step for rnd in profile.round if rnd.release for step in rnd.step]
    if not steps:
        return ("the profile has no release round",)
    return tuple(step.say for step in steps if not _done(session, step))


def _done(session: Session, step: Step) -> bool:
    quantity, _, position = step.take.partition("@")
    if any(o.item == quantity and o.status == "accepted" for o in session.observations):
        return True
    return any(
        r.quantity == quantity
        and position in ("", r.position)
        and applies(step.when, r.context) == "yes"
        for r in session.judged
    )


def _key(profile: Profile, readings: dict[str, Reading], finding: Finding) -> Key:
    """Rule, and what it judges whichever side of the repair: the places, less the repair, of the
    quantity it names first (a worked-out number's further inputs need not be taken again)."""
    mine = [readings[name] for name in finding.about if name in readings]
    places = set()
    for reading in mine:
        if reading.quantity == mine[0].quantity:
            place = place_of(profile, reading)
            context = tuple(item for item in place.context if item[0] != REPAIR)
            places.add((place.quantity, place.position or "", context))
    return (finding.rule, *sorted(places))


def is_after(reading: Reading) -> bool:
    return phase_of(reading) == "after"
