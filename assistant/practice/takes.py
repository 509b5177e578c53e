"""What a check of the profile takes, found by carrying it out on a mower that only notes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from assistant.practice.garden import Garden
from assistant.practice.simulated_mower import Display, SimulatedMower
from assistant.practice.workup import Workup
from assistant.profile.schema import Check, Profile

Label = tuple[str, str | None, tuple[tuple[str, str], ...], float]
"""Quantity, position, context, sideways shift in mm."""


@dataclass(frozen=True, slots=True)
class Takes:
    """What a check takes: readings with the context that its rules want, and what is looked at."""

    labels: tuple[Label, ...]
    items: tuple[str, ...]


class _Asked(SimulatedMower):
    """Notes what a workup asks of it."""

    def __init__(self) -> None:
        super().__init__(Garden(), np.random.default_rng(0))
        self.labels: list[Label] = []
        self.items: list[str] = []

    def read(
        self, quantity: str, position: str | None, context: Mapping[str, str], shift: float = 0.0
    ) -> Display:
        self.labels.append((quantity, position, tuple(sorted(context.items())), shift))
        return Display("value", "0")

    def look(self, item: str) -> str | None:
        self.items.append(item)
        return None


def takes_of(check: Check, profile: Profile) -> Takes:
    asked = _Asked()
    Workup(profile, asked, np.random.default_rng(0)).carry_out(check)
    return Takes(tuple(asked.labels), tuple(asked.items))
