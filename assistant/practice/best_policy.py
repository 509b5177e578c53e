"""What the best order of work costs on one exercise's mower: the minutes to be held against."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from assistant.diagnosis.causes import NO_FAULT, FaultModel, fault_model, signs_seen
from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.finding import NextCheck
from assistant.diagnosis.next_check import next_checks
from assistant.practice.exercise import Mower
from assistant.practice.prices import TOLD, price
from assistant.practice.steady_mower import steady_mower
from assistant.practice.workup import Workup
from assistant.profile.load import load_profile
from assistant.profile.schema import Profile
from assistant.record.session import Session

SURE = 0.9
"""The best order of work goes on until each hidden fault has this chance."""


@dataclass(frozen=True, slots=True)
class Best:
    """``found``: every hidden fault became sure."""

    checks: tuple[str, ...]
    minutes: float
    found: bool


def best_policy(mower: Mower, profile_name: str) -> Best:
    """The check that tells most a minute, again and again until each hidden fault is sure."""
    return _played(mower.model_dump_json(), profile_name)


@cache
def _played(mower_json: str, profile_name: str) -> Best:
    mower, profile = Mower.model_validate_json(mower_json), load_profile(profile_name)
    model = fault_model(profile)
    checks = {check.id: check for check in profile.check}
    done: list[str] = []
    workup = Workup(profile, steady_mower(mower), np.random.default_rng(0))
    for name in TOLD:
        if name in checks:
            workup.carry_out(checks[name])
    found = False
    while not found:
        left = [c for c in worth(workup.session, profile, model) if c.check not in (*done, *TOLD)]
        if not left:
            break
        done.append(left[0].check)
        workup.carry_out(checks[done[-1]])
        found = chance_of(mower.fault, workup.session, profile, model) >= SURE
    return Best(tuple(done), sum(price(checks[name]) for name in done), found)


def worth(session: Session, profile: Profile, model: FaultModel) -> tuple[NextCheck, ...]:
    """Every check still worth its time, best first, also when one cause is beyond doubt: there
    may be a second."""
    seen = signs_seen(profile, diagnose(session, profile, model).findings)
    return next_checks(profile, model, model.posterior(seen), seen, session.context)


def chance_of(
    causes: tuple[str, ...], session: Session, profile: Profile, model: FaultModel
) -> float:
    """The chance of the least likely of these causes; of no fault, for none."""
    chances = {c.cause: c.probability for c in diagnose(session, profile, model).causes}
    return min(chances.get(cause, 0.0) for cause in causes or (NO_FAULT,))
