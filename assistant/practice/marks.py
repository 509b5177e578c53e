"""Marks of an exercise: a hundred, of which each rule takes its share with a reason.

A section can be lost once only, so that one mistake made ten times does not cost more than the
section. The rules are told to the trainee as they stand here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

PASS = 70.0
"""Marks from which an exercise counts as passed; random answers stay below it (tested)."""


@dataclass(frozen=True, slots=True)
class Rule:
    """``skill`` is what comes back for practice when this rule took something."""

    skill: str
    says: str


@dataclass(frozen=True, slots=True)
class Sound:
    """A stretch of a recording, in seconds, to hear again."""

    path: Path
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Lost:
    """Marks taken by ``rule`` from ``section``, with the reason in this case."""

    section: str
    rule: str
    points: float
    reason: str
    sound: Sound | None = None


@dataclass(frozen=True, slots=True)
class Score:
    """``sections`` gives each section's most; they sum to a hundred."""

    sections: dict[str, float]
    lost: tuple[Lost, ...] = ()

    def kept(self, section: str) -> float:
        gone = sum(one.points for one in self.lost if one.section == section)
        return max(0.0, self.sections[section] - gone)

    @property
    def total(self) -> float:
        return round(sum(self.kept(section) for section in self.sections), 1)

    @property
    def passed(self) -> bool:
        return self.total >= PASS

    @property
    def cost_of_skills(self) -> dict[str, float]:
        """The marks that each skill cost, the dearest first."""
        cost: dict[str, float] = {}
        for one in self.lost:
            skill = RULES[one.rule].skill
            cost[skill] = round(cost.get(skill, 0.0) + one.points, 1)
        return dict(sorted(cost.items(), key=lambda item: -item[1]))


SKILLS = {
    "values": "getting numbers right",
    "signs": "keeping the sign",
    "sides": "each value in its own place (front or rear)",
    "context": "saying what a number depends on (docked or not, open or loaded)",
    "normal_here": "what is normal where it was read (a negative rear value, docked)",
    "judging": "telling what is out of tolerance",
    "cause": "naming the cause",
    "order": "checking what tells most a minute first",
    "minutes": "not wasting minutes",
}

RULES = {
    "missing": Rule("values", "A value that isn't in the record loses its share."),
    "value": Rule("values", "A wrong number loses its share, however near it is."),
    "sign": Rule("signs", "A lost or added minus loses the value's share."),
    "swapped": Rule("sides", "Two values in each other's place (front and rear) lose both shares."),
    "invented": Rule("values", "A value that was not there loses one share."),
    "open": Rule("values", "A value still asked about at the end loses half its share."),
    "wrong_context": Rule(
        "context", "A value under the wrong context loses the share of its stretch of work."
    ),
    "unsaid_context": Rule(
        "context", "A needed context that was never said loses half the stretch's share."
    ),
    "normal_here": Rule(
        "normal_here",
        "What is normal where it was read (a negative rear value, docked), taken for a fault, "
        "costs most: the whole section.",
    ),
    "false_alarm": Rule("judging", "A value in tolerance called a fault loses 10."),
    "overlooked": Rule("judging", "A fault that wasn't named loses its share of the verdict."),
    "no_ground": Rule(
        "judging", "A verdict with less than half of the values right in the record is a guess."
    ),
    "wrong_cause": Rule("cause", "A cause that isn't there loses one share."),
    "missed_cause": Rule("cause", "A hidden cause that wasn't named loses its share."),
    "too_early": Rule("order", "A cause named before the readings make it likely loses the order."),
    "poor_check": Rule(
        "order", "A check worth less than half of the best one, by the minute, loses 5."
    ),
    "slow": Rule(
        "minutes",
        "Ten minutes more than the best order are free; each five begun beyond lose 3.",
    ),
    "hint": Rule("order", "Asking the assistant for the next check or the causes loses 5."),
}
