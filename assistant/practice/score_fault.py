"""Marks for a hidden fault: the cause, the contexts, the order of work and the minutes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from assistant.diagnosis.causes import NO_FAULT
from assistant.practice.best_policy import Best
from assistant.practice.exercise import Mower
from assistant.practice.marks import RULES, Lost, Score
from assistant.practice.prices import STATION
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.speaking.label import context_words

SECTIONS = {"cause": 40.0, "context": 20.0, "order": 20.0, "minutes": 20.0}
POOR_CHECK, HINT, SLOW = 5.0, 5.0, 3.0
FREE_MINUTES, SLOW_MINUTES = 10.0, 5.0
LIKELY = 0.5
"""A cause may be named from this chance on."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading whose meaning hangs on where the mower stood: its id, label, and where."""

    id: str
    label: str
    stood: str


@dataclass(frozen=True, slots=True)
class FaultRecord:
    """What the trainee did. ``chance`` is that of the least likely cause named, after all that
    was measured; ``measured``: anything at all was."""

    named: tuple[str, ...]
    taken: tuple[Taken, ...]
    poor: tuple[str, ...]
    hints: int
    minutes: float
    chance: float
    measured: bool


def score_fault(
    record: FaultRecord, mower: Mower, best: Best, session: Session, profile: Profile
) -> Score:
    lost = [
        *_cause(record, mower, profile),
        *_context(record, mower, session, profile),
        *_order(record),
        *_minutes(record, best),
    ]
    return Score(dict(SECTIONS), tuple(lost))


def _cause(record: FaultRecord, mower: Mower, profile: Profile) -> Iterator[Lost]:
    title = {c.id: c.title for c in profile.cause} | {NO_FAULT: "nothing is wrong"}
    hidden, named = mower.fault or (NO_FAULT,), record.named or (NO_FAULT,)
    share = SECTIONS["cause"] / len(hidden)
    for cause in hidden:
        if cause not in named:
            reason = f"Hidden was: {title[cause]}. {RULES['missed_cause'].says}"
            yield Lost("cause", "missed_cause", share, reason)
    for cause in named:
        if cause not in hidden:
            reason = f"Not there: {title[cause]}. {RULES['wrong_cause'].says}"
            yield Lost("cause", "wrong_cause", share, reason)


def _context(
    record: FaultRecord, mower: Mower, session: Session, profile: Profile
) -> Iterator[Lost]:
    most = SECTIONS["context"]
    for cause in record.named:
        if cause in mower.trap and cause not in mower.fault:
            yield Lost("context", "normal_here", most, RULES["normal_here"].says)
    if not record.measured:
        yield Lost("context", "unsaid_context", most, "Nothing was measured.")
        return
    said = {r.id: r.context.get(STATION) for r in session.readings}
    stretches = [list(group) for _, group in groupby(record.taken, key=lambda t: t.stood)]
    for stretch in stretches:
        share = most / len(stretches)
        there = [t for t in stretch if t.id in said]
        wrong = next((t for t in there if said[t.id] not in (None, t.stood)), None)
        unsaid = next((t for t in there if said[t.id] is None), None)
        where = _words(profile, stretch[0].stood)
        if wrong is not None:
            told = _words(profile, said[wrong.id] or "")
            reason = f"{wrong.label} was taken {where}; the record says {told}."
            says = RULES["wrong_context"].says
            yield Lost("context", "wrong_context", share, f"{reason} {says}")
        elif unsaid is not None:
            reason = f"{unsaid.label} was taken {where}; the record does not say so."
            says = RULES["unsaid_context"].says
            yield Lost("context", "unsaid_context", share / 2, f"{reason} {says}")


def _order(record: FaultRecord) -> Iterator[Lost]:
    if _too_early(record):
        reason = (
            "Nothing was measured."
            if not record.measured
            else f"What you named stood at {round(100 * record.chance)} of 100."
        )
        says = RULES["too_early"].says
        yield Lost("order", "too_early", SECTIONS["order"], f"{reason} {says}")
        return
    for reason in record.poor:
        yield Lost("order", "poor_check", POOR_CHECK, f"{reason}. {RULES['poor_check'].says}")
    for _ in range(record.hints):
        yield Lost("order", "hint", HINT, RULES["hint"].says)


def _minutes(record: FaultRecord, best: Best) -> Iterator[Lost]:
    most = SECTIONS["minutes"]
    if _too_early(record):
        yield Lost("minutes", "too_early", most, "Minutes count once the cause is likely.")
        return
    over = record.minutes - best.minutes - FREE_MINUTES
    if over > 0:
        points = min(most, SLOW * ceil(over / SLOW_MINUTES))
        reason = f"{record.minutes:g} minutes; the best order takes {best.minutes:g}."
        yield Lost("minutes", "slow", points, f"{reason} {RULES['slow'].says}")


def _too_early(record: FaultRecord) -> bool:
    return not record.measured or record.chance < LIKELY


def _words(profile: Profile, value: str) -> str:
    words: Sequence[str] = context_words(profile, {STATION: value}, (STATION,))
    return words[0] if words else "nothing"
