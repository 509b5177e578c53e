"""When to stop looking: one cause beyond doubt, or nothing left that is worth its time."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.diagnosis.causes import NO_FAULT
from assistant.diagnosis.finding import Cause
from assistant.profile.schema import Profile

BEYOND_DOUBT, CONTESTED_BEYOND_DOUBT = 0.95, 0.98
"""Used unless the profile's constants beyond_doubt and contested_beyond_doubt say otherwise."""
WORTH_NAMING = 0.2
"""A second fault is named from this chance on."""


def is_enough(
    profile: Profile, causes: tuple[Cause, ...], seen: Mapping[str, bool]
) -> tuple[bool, str]:
    """Whether one cause is beyond doubt, and why or why not. It takes more when something speaks
    against the cause, and for "nothing is wrong": the mower was brought in for something, and
    whatever is flagged must be explained."""
    if not seen:
        return False, "Not enough yet: nothing was measured that points to a cause."
    top, second = causes[0], causes[1] if len(causes) > 1 else None
    chance = f"{percent(top.probability)} of 100"
    if top.cause == NO_FAULT and top.unexplained:
        unexplained = "; ".join(top.unexplained)
        return False, f"Not enough yet: no cause on the list explains this: {unexplained}."
    sure = profile.constants.get("beyond_doubt", BEYOND_DOUBT)
    if top.missed or top.cause == NO_FAULT:
        sure = profile.constants.get("contested_beyond_doubt", CONTESTED_BEYOND_DOUBT)
    but = f" Against it: {top.missed[0]}." if top.missed else ""
    if top.probability < sure:
        return False, f"Not enough yet: the likeliest, {top.title}, stands at {chance}.{but}"
    verdict = f"Enough: {top.title}, {chance}.{but}"
    if second and second.cause != NO_FAULT and second.probability >= WORTH_NAMING:
        verdict += f" Look at a second fault too: {second.title}, "
        verdict += f"{percent(second.probability)} of 100."
    return True, verdict


def nothing_left(profile: Profile, causes: tuple[Cause, ...], verdict: str) -> tuple[bool, str]:
    """The verdict once no check is worth its time: a mower without any sign may go."""
    top = causes[0]
    sure = profile.constants.get("beyond_doubt", BEYOND_DOUBT)
    if top.cause == NO_FAULT and not top.unexplained and top.probability >= sure:
        chance = f"{percent(top.probability)} of 100"
        return True, f"Enough: {top.title}, {chance}, and no check left is worth its time."
    return False, f"{verdict} No check left is worth its time: decide on what is here, or get help."


def percent(probability: float) -> int:
    """Of a hundred; never 0 or 100, since no posterior is certain."""
    return min(99, max(1, round(100 * probability)))
