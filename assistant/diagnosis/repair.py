"""Proof of a repair: what was flagged before, measured again after in the same context.

A round marked as release in the profile must be complete, and nothing in it flagged, before a
mower may be called ready for use.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.diagnosis.finding import Finding, RepairProof
from assistant.diagnosis.measured import REPAIR, applies, place_of
from assistant.diagnosis.reasons import title_of
from assistant.profile.schema import Profile, Step
from assistant.record.session import Observation, Order, Reading, Session

Key = tuple[object, ...]
JUDGED = ("ok", "out", "suspect")


def repair_proofs(
    profile: Profile, session: Session, before: Iterable[Finding], after: Iterable[Finding]
) -> Iterator[RepairProof]:
    """One for each thing flagged before the repair."""
    again = {_key(profile, session, finding): finding for finding in after}
    for old in before:
        if not old.flagged:
            continue
        new = again.get(_key(profile, session, old))
        if new is None or new.verdict not in JUDGED:
            why = f"not measured again since the repair. Before: {old.reason}"
            yield RepairProof(old.rule, "not_measured", old.about, why)
        elif new.flagged:
            yield RepairProof(
                old.rule, "remains", (*old.about, *new.about), f"remains: {new.reason}"
            )
        else:
            why = f"gone: {new.reason}. Before: {old.reason}"
            yield RepairProof(old.rule, "gone", (*old.about, *new.about), why)


def as_it_stands(
    profile: Profile, session: Session, before: Iterable[Finding], after: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """Every finding after the repair, and those from before that were not judged again."""
    again = {_key(profile, session, f) for f in after if f.verdict in JUDGED}
    return (*(f for f in before if _key(profile, session, f) not in again), *after)


def release_missing(profile: Profile, session: Session, since: Order) -> tuple[str, ...]:
    """What the release rounds still lack, each step by its title; a profile without such a round
    says so. A release from before the repair doesn't count once something was measured after it,
    which was first done in the entry ``since``."""
    steps = [step for rnd in profile.round if rnd.release for step in rnd.step]
    if not steps:
        return ("the profile has no release round",)
    judged = session.judged
    seen = [o for o in session.observations if o.status == "accepted"]
    return tuple(_title(profile, step) for step in steps if not _done(step, judged, seen, since))


def _title(profile: Profile, step: Step) -> str:
    name, _, position = step.take.partition("@")
    return f"{title_of(profile, name)} {position}".strip()


def _done(step: Step, judged: Iterable[Reading], seen: Iterable[Observation], since: Order) -> bool:
    name, _, position = step.take.partition("@")
    return any(o.item == name and o.order >= since for o in seen) or any(
        r.quantity == name
        and position in ("", r.position)
        and applies(step.when, r.context) == "yes"
        and r.order >= since
        for r in judged
    )


def _key(profile: Profile, session: Session, finding: Finding) -> Key:
    """Rule, and what it judges whichever side of the repair: the places, less the repair, of the
    quantity it names first (a worked-out number's further inputs need not be taken again)."""
    about = set(finding.about)
    mine = [r for r in session.readings if r.id in about]
    first = next((r.quantity for r in mine if finding.about and r.id == finding.about[0]), None)
    places = set()
    for reading in mine:
        if reading.quantity == first:
            place = place_of(profile, reading)
            context = tuple(item for item in place.context if item[0] != REPAIR)
            places.add((place.quantity, place.position or "", context))
    return (finding.rule, *sorted(places))


def is_after(reading: Reading) -> bool:
    return reading.context.get(REPAIR) == "after"
