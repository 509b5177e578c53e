"""Carries out a profile's check on a simulated mower and writes down what it shows.

What a check takes follows from the profile: each sign that it tells is read off a rule, and each
rule names its readings or its observation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np

from assistant.practice.simulated_mower import SimulatedMower
from assistant.profile.schema import Check, Computed, Profile, Where
from assistant.record.session import Observation, Reading, Session

SURVEY = tuple(range(-150, 151, 50))
"""Sideways shifts in mm of a survey over the guide wire."""


@dataclass(frozen=True, slots=True)
class Mistakes:
    """Chances that a technician's reading is wrong: a digit misheard, the context mistaken."""

    digit: float = 0.0
    context: float = 0.0


@dataclass
class Workup:
    """A session being taken on one simulated mower."""

    profile: Profile
    mower: SimulatedMower
    rng: np.random.Generator
    mistakes: Mistakes = Mistakes()
    readings: list[Reading] = field(default_factory=list)
    observations: list[Observation] = field(default_factory=list)
    context: dict[str, str] = field(default_factory=dict)

    @property
    def session(self) -> Session:
        return Session(
            id="practice",
            profile=self.profile.id,
            readings=tuple(self.readings),
            observations=tuple(self.observations),
            context=dict(self.context),
        )

    def carry_out(self, check: Check) -> None:
        rules = {sign.rule for sign in self.profile.sign if sign.id in check.tells}
        taken: set[tuple[str, str | None, tuple[tuple[str, str], ...]]] = set()
        for quantity, position, when in self._labels(rules):
            key = (quantity, position, tuple(sorted(when.items())))
            if key not in taken:
                taken.add(key)
                self.read(quantity, position, when)
        for rule in self.profile.computed:
            if rule.id in rules and rule.calculation == "wire_field":
                self.survey(rule)
        for item in self.profile.observation:
            if item.id in rules:
                self.look(item.id)

    def read(self, quantity: str, position: str | None, context: Where, shift: float = 0.0) -> None:
        shown = self.mower.read(quantity, position, context, shift)
        value, said = shown.value, dict(context)
        if value is not None and self.rng.random() < self.mistakes.digit:
            value = self._misheard(value)
        if "station" in said and self.rng.random() < self.mistakes.context:
            said["station"] = "docked" if said["station"] == "undocked" else "undocked"
        self.context |= said
        unit = next(q.unit for q in self.profile.quantity if q.id == quantity)
        self.readings.append(
            Reading(
                id=self._next(),
                quantity=quantity,
                position=position,
                value=value,
                state=shown.state,
                unit=unit,
                context=said,
                status="accepted",
            )
        )

    def look(self, item: str) -> None:
        seen = self.mower.look(item)
        if seen is not None:
            self.observations.append(Observation(self._next(), item, seen))

    def survey(self, rule: Computed) -> None:
        """Signals of both sensors at each shift, and back over the wire at the end."""
        for shift in (*SURVEY, 0):
            self.readings.append(
                Reading(
                    id=self._next(),
                    quantity=rule.takes["shift"],
                    position=None,
                    value=str(shift),
                    state="value",
                    unit="mm",
                    context=dict(rule.when),
                    status="accepted",
                )
            )
            for position in ("front", "rear"):
                self.read(rule.takes["signal"], position, rule.when, float(shift))

    def _labels(self, rules: set[str]) -> Iterator[tuple[str, str | None, Where]]:
        """Quantity, position and context of each reading that these rules take."""
        positions = {q.id: q.positions for q in self.profile.quantity}
        for tolerance in self.profile.tolerance:
            if tolerance.id in rules:
                where = (tolerance.position,) if tolerance.position else ()
                for position in where or positions[tolerance.quantity] or (None,):
                    yield tolerance.quantity, position, tolerance.when
        for pair in self.profile.pair:
            if pair.id in rules:
                for position in pair.positions:
                    yield pair.quantity, position, pair.when
        for rule in self.profile.computed:
            if rule.id in rules and rule.calculation != "wire_field":
                for name in rule.takes.values():
                    if name in positions:
                        yield name, None, rule.when

    def _misheard(self, value: str) -> str:
        """One digit becomes another."""
        places = [i for i, letter in enumerate(value) if letter.isdigit()]
        at = int(self.rng.choice(places))
        other = str((int(value[at]) + int(self.rng.integers(1, 10))) % 10)
        return str(Decimal(value[:at] + other + value[at + 1 :]))

    def _next(self) -> str:
        return str(len(self.readings) + len(self.observations) + 1)
