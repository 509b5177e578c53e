"""The check most worth doing next: expected information about the cause, for each minute.

A check costs its minutes and those of undoing it. Only signs not yet known count. Checks of equal
worth follow the profile's usual order of work. Nothing is proposed once one cause is beyond
doubt, or when no check left is worth its time.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from assistant.diagnosis.causes import FaultModel
from assistant.diagnosis.finding import NextCheck
from assistant.diagnosis.inference import Floats, combined, information_bits
from assistant.diagnosis.measured import applies
from assistant.profile.schema import Check, Profile

LEAST_BITS_PER_MINUTE = 0.003
"""A check that tells less is not worth its time, unless the profile's constant
least_bits_per_minute says otherwise."""
MOST_SIGNS = 10
"""Signs of one check that are weighed together: 1,024 outcomes. Further ones are left out, which
can only make a check look less telling than it is."""


def next_checks(
    profile: Profile,
    model: FaultModel,
    belief: Floats,
    seen: Mapping[str, bool],
    context: Mapping[str, str],
) -> tuple[NextCheck, ...]:
    """Best first. Gains within a hundredth of a bit a minute of each other count as equal."""
    found = []
    least = profile.constants.get("least_bits_per_minute", LEAST_BITS_PER_MINUTE)
    for check in profile.check:
        gain = _gain(model, belief, check, seen)
        minutes = check.minutes + check.undo_minutes
        if gain / minutes >= least:
            found.append((-round(gain / minutes, 2), check.order, check, gain, minutes))
    found.sort(key=lambda row: row[:2])
    return tuple(
        NextCheck(
            check.id, check.title, minutes, gain, check.caution, _first(profile, check, context)
        )
        for _, _, check, gain, minutes in found
    )


def _gain(model: FaultModel, belief: Floats, check: Check, seen: Mapping[str, bool]) -> float:
    unknown = [s for s in check.tells if s in model.present and s not in seen][:MOST_SIGNS]
    tests = [np.stack([model.present[s], 1.0 - model.present[s]]) for s in unknown]
    if not tests:
        return 0.0
    return information_bits(belief, combined(tests, belief.size), model.faults)


def _first(profile: Profile, check: Check, context: Mapping[str, str]) -> str:
    """What must be done before the check: 'first: undocked (now docked)'."""
    if applies(check.needs, context) == "yes":
        return ""
    words = []
    for key, value in check.needs.items():
        if context.get(key) != value:
            row = next((c for c in profile.context if c.id == key), None)
            names = {v.id: v.reach or f"first: {v.spoken[0]}" for v in row.value} if row else {}
            words.append(names.get(value, f"first: {value}"))
    return ", ".join(words)
