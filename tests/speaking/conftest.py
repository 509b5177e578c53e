"""A small profile of its own, so that a depot's wording can change and no test of this folder."""

from __future__ import annotations

import pytest

from assistant.profile.schema import Profile

_PROFILE = {
    "profile": {"id": "bench", "title": "bench", "version": "1", "notice": "a test's own"},
    "position": [
        {"id": "front", "title": "front", "spoken": ["front", "front sensor"]},
        {"id": "rear", "title": "rear", "spoken": ["rear", "back sensor"]},
    ],
    "context": [
        {
            "id": "station",
            "title": "in the station or out of it",
            "ask": "docked or undocked?",
            "value": [
                {"id": "docked", "spoken": ["docked", "in the station"]},
                {"id": "undocked", "spoken": ["undocked"]},
            ],
        },
        {
            "id": "wire",
            "title": "which wire",
            "ask": "guide or boundary?",
            "value": [
                {"id": "guide", "spoken": ["guide"]},
                {"id": "boundary", "spoken": ["boundary"]},
            ],
        },
    ],
    "quantity": [
        {
            "id": "loop_signal",
            "title": "loop signal",
            "spoken": ["loop signal", "loop"],
            "unit": "1",
            "plausible": [-999, 999],
            "positions": ["front", "rear"],
            "needs": ["station"],
            "decided_by": "wire",
            "members": {"guide": "guide_signal"},
        },
        {
            "id": "guide_signal",
            "title": "guide signal",
            "spoken": ["guide signal", "guide"],
            "unit": "1",
            "plausible": [-999, 999],
            "positions": ["front", "rear"],
            "needs": ["station"],
        },
        {
            "id": "battery_voltage",
            "title": "battery voltage",
            "spoken": ["battery voltage", "battery"],
            "unit": "V",
            "unit_spoken": ["volts", "volt"],
            "plausible": [0, 60],
            "decimals": 2,
        },
    ],
    "observation": [
        {
            "id": "blade_condition",
            "title": "blade condition",
            "spoken": ["blades"],
            "kind": "choice",
            "choice": [{"id": "worn", "spoken": ["worn", "blunt"], "verdict": "suspect"}],
            "caution": "gloves on, blades are sharp.",
        },
        {"id": "serial", "title": "serial", "spoken": ["serial"], "kind": "identifier"},
    ],
    "tolerance": [
        {
            "id": "guide_floor",
            "quantity": "guide_signal",
            "low": 67,
            "reason": "the wire may lie out of line",
            "source": "a test's own",
        }
    ],
    "pair": [
        {
            "id": "pair_guide",
            "quantity": "guide_signal",
            "positions": ["front", "rear"],
            "max_difference": 10,
            "reason": "they see the same wire",
            "otherwise": "docked they are not compared",
            "source": "a test's own",
        }
    ],
}


@pytest.fixture(scope="session")
def bench() -> Profile:
    return Profile.model_validate(_PROFILE)
