"""A simulated mower that shows the same to everybody who measures the same in it.

Each label in its context has a scatter of its own, drawn from the exercise's seed and counted
times, whatever was measured between: so a trainee can be held against the best order of work.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from assistant.practice.exercise import Mower
from assistant.practice.garden import Garden, healthy_garden
from assistant.practice.hidden_fault import hide
from assistant.practice.simulated_mower import Display, SimulatedMower


class SteadyMower(SimulatedMower):
    """Nothing that can be seen is overlooked: to look is what the trainee practises."""

    def __init__(self, garden: Garden, seed: int) -> None:
        super().__init__(garden, np.random.default_rng(seed), keen=1.0)
        self._seed = seed
        self._times: dict[str, int] = {}

    def read(
        self, quantity: str, position: str | None, context: Mapping[str, str], shift: float = 0.0
    ) -> Display:
        self._draw_for(f"{quantity}@{position} {sorted(context.items())} {shift}")
        return super().read(quantity, position, context, shift)

    def look(self, item: str) -> str | None:
        self._draw_for("look")
        return super().look(item)

    def _draw_for(self, what: str) -> None:
        times = self._times[what] = 0 if what == "look" else self._times.get(what, -1) + 1
        self.rng = np.random.default_rng([self._seed, zlib.crc32(what.encode()), times])


def steady_mower(mower: Mower) -> SteadyMower:
    """The mower of an exercise: its faults as its garden sets them, else as its seed draws."""
    if mower.garden:
        return SteadyMower(replace(Garden(), **mower.garden), mower.seed)  # type: ignore[arg-type]
    rng = np.random.default_rng(mower.seed)
    garden = healthy_garden(rng)
    for fault in mower.fault:
        garden = hide(garden, fault, rng)
    return SteadyMower(garden, mower.seed)
