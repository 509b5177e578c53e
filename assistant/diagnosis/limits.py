"""Rules on readings: can it be, is it within the tolerance of its context, do pairs agree."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from decimal import Decimal

from assistant.diagnosis.finding import Finding, Verdict
from assistant.diagnosis.measured import Place, Places, applies
from assistant.diagnosis.reasons import (
    context_words,
    limit_words,
    position_words,
    range_words,
    reading_words,
    title_of,
    unit_words,
)
from assistant.profile.schema import Pair, Profile, Quantity, Tolerance
from assistant.record.session import Reading

PLAUSIBILITY = "plausibility"


def implausible(profile: Profile, quantity: Quantity, reading: Reading) -> Finding | None:
    """A reading that cannot be, or that is in another unit than it is judged in, is to be taken
    again: it is no fault of the mower and takes part in nothing else."""
    if reading.unit and reading.unit != quantity.unit:
        words = reading_words(profile, reading)
        reason = f"{words} was said in {reading.unit}, but is judged in {quantity.unit}: say again"
        return Finding(PLAUSIBILITY, "unknown", (reading.id,), reason, quantity.source)
    low, high = quantity.plausible
    if reading.number is None or low <= reading.number <= high:
        return None
    words = reading_words(profile, reading)
    limits = f"{range_words(low, high)}{unit_words(profile, quantity.id)}"
    reason = f"{words} cannot be ({limits}): take it again"
    return Finding(PLAUSIBILITY, "unknown", (reading.id,), reason, quantity.source)


def tolerance_findings(profile: Profile, places: Places) -> Iterator[Finding]:
    """Every tolerance applied to the latest reading of each place it speaks of."""
    for rule in profile.tolerance:
        for place, readings in places.items():
            if place.quantity == rule.quantity and rule.position in (None, place.position):
                reading = readings[-1]
                verdict, why = _within(profile, rule, reading)
                reason = f"{reading_words(profile, reading)}{_where(profile, place)}: {why}"
                yield Finding(rule.id, verdict, (reading.id,), reason, rule.source)


def pair_findings(
    profile: Profile, places: Places, asked: Collection[Place] = ()
) -> Iterator[Finding]:
    """Every pair rule applied to each context in which either of the two was taken; ``asked`` are
    the places of readings that wait for an answer."""
    for rule in profile.pair:
        spots = {
            replace(place, position=None): None
            for place in places
            if place.quantity == rule.quantity and place.position in rule.positions
        }
        for spot in spots:
            ends = [replace(spot, position=name) for name in rule.positions]
            both = [places[end][-1] if end in places else None for end in ends]
            yield _pair(profile, rule, spot, both, [end in asked for end in ends])


def _within(profile: Profile, rule: Tolerance, reading: Reading) -> tuple[Verdict, str]:
    match applies(rule.when, reading.context):
        case "no":
            return "not_applicable", rule.otherwise or _only_when(profile, rule)
        case "unsaid":
            return "unknown", _unsaid(profile, rule)
    unit = unit_words(profile, rule.quantity)
    if reading.state == "no_reading":
        if rule.low is None:
            return "unknown", "take it again"
        least = f"no reading where at least {limit_words(rule.low)}{unit} is needed"
        return rule.verdict, f"{least}; {rule.reason}"
    if reading.state == "off_scale":
        if rule.high is None:
            return "unknown", "off the meter's scale; change the range and take it again"
        return rule.verdict, f"above the limit {limit_words(rule.high)}{unit}; {rule.reason}"
    number = reading.number
    assert number is not None
    if rule.low is not None and number < Decimal(str(rule.low)):
        return rule.verdict, f"below the limit {limit_words(rule.low)}{unit}; {rule.reason}"
    if rule.high is not None and number > Decimal(str(rule.high)):
        return rule.verdict, f"above the limit {limit_words(rule.high)}{unit}; {rule.reason}"
    return "ok", f"within limits ({range_words(rule.low, rule.high)}{unit})"


def _pair(
    profile: Profile,
    rule: Pair,
    spot: Place,
    both: list[Reading | None],
    waiting: list[bool],
) -> Finding:
    there = [reading for reading in both if reading is not None]
    label = title_of(profile, rule.quantity)
    words = " and ".join(position_words(profile, reading) for reading in there)
    start = f"{label}, {words}{_where(profile, spot)}"

    def finding(verdict: Verdict, why: str, lower: str | None = None) -> Finding:
        about = tuple(reading.id for reading in there)
        return Finding(rule.id, verdict, about, f"{start}: {why}", rule.source, lower)

    match applies(rule.when, dict(spot.context)):
        case "no":
            return finding("not_applicable", rule.otherwise)
        case "unsaid":
            return finding("unknown", _unsaid(profile, rule))
    for name, reading, is_open in zip(rule.positions, both, waiting, strict=True):
        if reading is None:
            open_words = f"{name} waits for an answer" if is_open else f"{name} not taken yet"
            return finding("unknown", open_words)
    first, second = there
    if first.number is None and second.number is None:
        return finding("unknown", "neither gives a value, so they can't be compared")
    if first.number is None or second.number is None:
        silent = first.position if first.number is None else second.position
        return finding(rule.verdict, f"only one gives a value; {rule.reason}", silent)
    difference = abs(first.number - second.number)
    limit = limit_words(rule.max_difference)
    if difference <= Decimal(str(rule.max_difference)):
        return finding("ok", f"agree to within {difference}, limit {limit}")
    lower = first.position if first.number < second.number else second.position
    return finding(rule.verdict, f"differ by {difference}, limit {limit}; {rule.reason}", lower)


def _where(profile: Profile, place: Place) -> str:
    words = context_words(profile, {k: v for k, v in place.context if (k, v) != _UNREPAIRED})
    return f", {words}" if words else ""


_UNREPAIRED = ("repair", "before")


def _only_when(profile: Profile, rule: Tolerance) -> str:
    return f"judged only {context_words(profile, rule.when)}"


def _unsaid(profile: Profile, rule: Tolerance | Pair) -> str:
    asks = [c.ask for c in profile.context if c.id in rule.when]
    return f"not said: {' '.join(asks)}" if asks else "its context was not said"
