"""From a session to findings, causes, the next check and proof of repair.

Before and after the repair are judged apart. The causes explain what was found before the
repair; once something flagged remains after it, or comes up new, they explain how things stand
now: what was measured again counts in place of what was measured before.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from assistant.diagnosis.causes import (
    FaultModel,
    fault_model,
    ranked_causes,
    signs_seen,
)
from assistant.diagnosis.computed import computed_findings
from assistant.diagnosis.enough import is_enough, nothing_left
from assistant.diagnosis.finding import Diagnosis, Finding
from assistant.diagnosis.lately import lately
from assistant.diagnosis.limits import implausible, pair_findings, tolerance_findings
from assistant.diagnosis.measured import by_place, over_the_wire
from assistant.diagnosis.next_check import next_checks
from assistant.diagnosis.observed import observation_findings
from assistant.diagnosis.repair import as_it_stands, is_after, release_missing, repair_proofs
from assistant.diagnosis.repeated import change_findings, repeat_findings
from assistant.diagnosis.worth_telling import worth_telling
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Order, Reading, Session


def diagnose(session: Session, profile: Profile, model: FaultModel | None = None) -> Diagnosis:
    """``model`` is ``fault_model(profile)``, for those who diagnose many sessions."""
    compared = {item.id for item in profile.observation if item.comparison}
    first = min((r.order for r in session.readings if is_after(r) and r.is_judged), default=None)
    session = lately(session)
    before, after = _phases(session, compared, first)
    old = findings_of(before, profile, session)
    new = findings_of(after, profile, session)
    repaired = bool(after.readings or after.observations)
    to_prove = tuple(f for f in old if f.rule not in compared)
    everywhere = by_place(profile, over_the_wire(_sound(session, profile)[0])) if repaired else {}
    changes = change_findings(profile, everywhere)
    proofs = tuple(repair_proofs(profile, session, to_prove, new)) if repaired else ()
    failed = any(f.flagged for f in new)
    evidence = as_it_stands(profile, session, to_prove, new) if failed else old
    model = model or fault_model(profile)
    seen = signs_seen(profile, evidence)
    belief = model.posterior(seen)
    causes = ranked_causes(profile, model, belief, evidence)
    enough, verdict = is_enough(profile, causes, seen)
    checks = () if enough else next_checks(profile, model, belief, seen, session.context)
    if seen and not enough and not checks:
        enough, verdict = nothing_left(profile, causes, verdict)
    missing = release_missing(profile, session, first or (False, 0))
    current = as_it_stands(profile, session, to_prove, new) if repaired else old
    flagged = tuple(finding for finding in current if finding.flagged)
    gone = all(proof.outcome == "gone" for proof in proofs)
    return Diagnosis(
        findings=(*old, *new, *changes),
        causes=causes,
        next_checks=checks,
        enough=enough,
        verdict=verdict,
        repairs=proofs,
        proven=bool(proofs) and gone and not failed,
        still_flagged=flagged,
        ready_for_use=not (missing or flagged),
        release_missing=missing,
    )


def findings_of(
    session: Session, profile: Profile, whole: Session | None = None
) -> tuple[Finding, ...]:
    """Every rule of the profile on one side of the repair; ``whole`` is both sides."""
    sound, doubtful = _sound(session, profile)
    places = by_place(profile, over_the_wire(sound))
    asked = by_place(profile, session.open_questions)
    return (
        *doubtful,
        *tolerance_findings(profile, places),
        *pair_findings(profile, places, asked),
        *computed_findings(profile, sound, whole or session),
        *observation_findings(profile, session.observations),
        *repeat_findings(profile, places),
        *worth_telling(profile, sound),
    )


def _sound(session: Session, profile: Profile) -> tuple[Session, list[Finding]]:
    """The session without the readings that cannot be, and what to say of those."""
    quantities = {quantity.id: quantity for quantity in profile.quantity}
    doubtful = {
        r.id: f
        for r in session.judged
        if r.quantity in quantities and (f := implausible(profile, quantities[r.quantity], r))
    }
    kept = tuple(r for r in session.readings if r.id not in doubtful)
    return replace(session, readings=kept), list(doubtful.values())


def _phases(session: Session, compared: Set[str], first: Order | None) -> tuple[Session, Session]:
    """The session before and after the repair. What was seen (it carries no context) counts as
    after the repair when it was entered after the ``first`` reading that did, unless it is among
    those ``compared`` with a known good part: these tell what was wrong."""

    def later(item: Reading | Observation) -> bool:
        if isinstance(item, Reading):
            return is_after(item)
        if first is None or item.item in compared:
            return False
        return item.order >= first

    def side(after: bool) -> Session:
        return replace(
            session,
            readings=tuple(r for r in session.readings if later(r) is after),
            observations=tuple(o for o in session.observations if later(o) is after),
        )

    return side(False), side(True)
