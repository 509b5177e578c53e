"""When each skill is due again, and which exercise brings it back.

Spaced repetition: a skill that cost marks comes back soon, one that went well later and later.
Nothing is stored but the log: the cards are worked out from it each time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from assistant.practice.exercise import Exercise
from assistant.practice.log import Practised
from assistant.practice.marks import PASS, SKILLS
from assistant.profile.load import DEFAULT_PROFILE

if TYPE_CHECKING:
    from fsrs import Card

LITTLE = 5.0
"""Marks that a skill may cost and still count as held, with an effort."""


@dataclass(frozen=True, slots=True)
class Choice:
    exercise: Exercise
    why: str


def cards(log: Sequence[Practised]) -> dict[str, Card]:
    """A card for each skill practised so far, reviewed whenever an exercise trained it."""
    from fsrs import Card, Rating, Scheduler

    scheduler = Scheduler(enable_fuzzing=False)
    found: dict[str, Card] = {}
    for one in log:
        for skill, cost in one.skills.items():
            rating = Rating.Good if cost <= 0 else Rating.Hard if cost <= LITTLE else Rating.Again
            card = found.get(skill) or Card(card_id=1 + len(found), due=one.at)
            found[skill] = scheduler.review_card(card, rating, one.at)[0]
    return found


def choose(exercises: Sequence[Exercise], log: Sequence[Practised], now: datetime) -> Choice:
    """Of the trade practised last (robot mowers at first): the skill most overdue first, by an
    exercise that was not the last one; else the next exercise never passed, easiest first; else
    the one longest ago."""
    last = log[-1].exercise if log else ""
    trade = next((e.profile for e in exercises if e.id == last), DEFAULT_PROFILE)
    exercises = [e for e in exercises if e.profile == trade]
    passed = {one.exercise for one in log if one.marks >= PASS}
    tried = {one.exercise: place for place, one in enumerate(log)}
    reached = max((e.level for e in exercises if e.id in passed), default=1)

    def longest_ago(some: Sequence[Exercise]) -> Exercise:
        return min(some, key=lambda e: (tried.get(e.id, -1), e.level))

    due = sorted((card.due, skill) for skill, card in cards(log).items() if card.due <= now)
    for _, skill in due:
        fitting = [e for e in exercises if skill in e.trains and e.level <= reached]
        fitting = [e for e in fitting if e.id != last] or fitting
        if fitting:
            return Choice(longest_ago(fitting), f"again: {SKILLS.get(skill, skill)}")
    new = [e for e in exercises if e.id not in passed]
    fresh = [e for e in new if e.id != last] or new
    if fresh:
        return Choice(min(fresh, key=lambda e: (e.level, tried.get(e.id, -1))), "not passed yet")
    return Choice(longest_ago(exercises), "longest ago")
