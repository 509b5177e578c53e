"""Sessions and a small trade to diagnose, built by hand so that each test shows its numbers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading, Session

DEPOT = "this depot's fleet, common practice, no source"

SMALL_TRADE: dict[str, Any] = {
    "profile": {"id": "small", "title": "Small", "version": "1", "notice": DEPOT},
    "position": [
        {"id": "front", "title": "front", "spoken": ["front"]},
        {"id": "rear", "title": "rear", "spoken": ["rear"]},
    ],
    "context": [
        {
            "id": "station",
            "title": "station",
            "ask": "docked or undocked?",
            "value": [
                {"id": "docked", "spoken": ["docked"]},
                {
                    "id": "undocked",
                    "spoken": ["undocked"],
                    "reach": "drive the mower out of the station first",
                },
            ],
        },
    ],
    "quantity": [
        {
            "id": name,
            "title": name.replace("_", " "),
            "spoken": [name.replace("_", " ")],
            "unit": unit,
            "unit_spoken": words,
            "plausible": plausible,
            "positions": ["front", "rear"] if "signal" in name and "quality" not in name else [],
            "needs": ["station"] if name in ("guide_signal", "boundary_signal") else [],
        }
        for name, unit, words, plausible in [
            ("guide_signal", "1", [], [-999, 999]),
            ("boundary_signal", "1", [], [-999, 999]),
            ("signal_quality", "%", ["percent"], [0, 100]),
            ("battery_voltage", "V", ["volts"], [0, 60]),
            ("wire_shift", "mm", ["millimetres"], [-1000, 1000]),
        ]
    ],
    "observation": [
        {
            "id": "docking",
            "title": "docking",
            "spoken": ["docking"],
            "kind": "choice",
            "choice": [
                {"id": "straight", "spoken": ["docks straight"]},
                {
                    "id": "misses_left",
                    "spoken": ["misses left"],
                    "verdict": "out",
                    "reason": "it misses the station to the same side each time",
                },
            ],
        },
        {
            "id": "stop_button",
            "title": "stop button",
            "spoken": ["stop button"],
            "kind": "choice",
            "choice": [
                {"id": "works", "spoken": ["works"]},
                {"id": "fails", "spoken": ["fails"], "verdict": "out", "reason": "unsafe"},
            ],
        },
    ],
    "tolerance": [
        {
            "id": "guide_signal_floor",
            "quantity": "guide_signal",
            "when": {"station": "undocked"},
            "low": 67,
            "verdict": "suspect",
            "reason": "a guide wire a little out of line drops the signal quickly",
            "otherwise": "docked, the station's own antenna wire overpowers it: normal",
            "source": DEPOT,
        },
        {
            "id": "signal_quality_full",
            "quantity": "signal_quality",
            "low": 100,
            "reason": "it should read 100",
            "source": DEPOT,
        },
        {
            "id": "battery_rested",
            "quantity": "battery_voltage",
            "low": 18,
            "high": 21,
            "reason": "five cells",
            "source": DEPOT,
        },
    ],
    "pair": [
        {
            "id": f"pair_{name}",
            "quantity": name,
            "positions": ["front", "rear"],
            "when": {"station": "undocked"},
            "max_difference": 10,
            "reason": "front and rear see the same wire and should agree",
            "otherwise": "docked, front and rear must not be compared",
            "source": DEPOT,
        }
        for name in ("guide_signal", "boundary_signal")
    ],
    "sign": [
        {
            "id": "weak_guide",
            "title": "weak guide signal",
            "rule": "guide_signal_floor",
            "leak": 0.03,
            "source": DEPOT,
        },
        {
            "id": "front_lower",
            "title": "front reads less than rear",
            "rule": "pair_guide_signal",
            "lower": "front",
            "leak": 0.02,
            "source": DEPOT,
        },
        {
            "id": "rear_lower",
            "title": "rear reads less than front",
            "rule": "pair_guide_signal",
            "lower": "rear",
            "leak": 0.02,
            "source": DEPOT,
        },
        {
            "id": "misses_dock",
            "title": "misses the station to one side",
            "rule": "docking",
            "leak": 0.05,
            "source": DEPOT,
        },
    ],
    "cause": [
        {
            "id": "guide_wire_out_of_line",
            "title": "guide wire out of line",
            "prior": 0.15,
            "shows": {"weak_guide": 0.8, "misses_dock": 0.9},
            "remedy": "move the wire",
            "source": DEPOT,
        },
        {
            "id": "front_sensor",
            "title": "front sensor weak",
            "prior": 0.06,
            "shows": {"weak_guide": 0.6, "front_lower": 0.95, "misses_dock": 0.4},
            "remedy": "swap it",
            "source": DEPOT,
        },
        {
            "id": "rear_sensor",
            "title": "rear sensor weak",
            "prior": 0.06,
            "shows": {"weak_guide": 0.6, "rear_lower": 0.95, "misses_dock": 0.4},
            "remedy": "swap it",
            "source": DEPOT,
        },
    ],
    "check": [
        {
            "id": "rear_reading",
            "title": "swap the rear sensor",
            "minutes": 5,
            "tells": ["rear_lower"],
            "order": 30,
            "source": DEPOT,
        },
        {
            "id": "front_reading",
            "title": "swap the front sensor",
            "minutes": 5,
            "tells": ["front_lower"],
            "needs": {"station": "undocked"},
            "caution": "blades off",
            "order": 20,
            "source": DEPOT,
        },
        {
            "id": "watch_docking",
            "title": "watch it dock",
            "minutes": 50,
            "tells": ["misses_dock"],
            "order": 10,
            "source": DEPOT,
        },
    ],
    "round": [
        {
            "id": "safety_release",
            "title": "safety release",
            "spoken": ["safety release"],
            "release": True,
            "step": [{"take": "stop_button", "say": "press the stop button"}],
        }
    ],
}


@pytest.fixture
def profile() -> Profile:
    return Profile.model_validate(SMALL_TRADE)


class Bench:
    """Builds a session line by line: ``bench.read("guide_signal@front", "102", "undocked")``."""

    def __init__(self) -> None:
        self.readings: list[Reading] = []
        self.observations: list[Observation] = []
        self.count = 0

    def read(self, label: str, value: str | None, *context: str, **more: Any) -> Bench:
        quantity, _, position = label.partition("@")
        self.count += 1
        known = {"docked": "station", "undocked": "station", "before": "repair"}
        known |= {"after": "repair", "open": "load", "loaded": "load"}
        self.readings.append(
            Reading(
                id=str(self.count),
                quantity=quantity,
                position=position or None,
                value=value,
                state=more.pop("state", "value"),
                unit=more.pop("unit", ""),
                context={known[word]: word for word in context},
                status=more.pop("status", "accepted"),
                at=f"2031-05-04T09:{self.count:02d}:00+00:00",
                **more,
            )
        )
        return self

    def see(self, item: str, value: str) -> Bench:
        self.count += 1
        at = f"2031-05-04T09:{self.count:02d}:00+00:00"
        self.observations.append(Observation(str(self.count), item, value, at=at))
        return self

    @property
    def session(self) -> Session:
        context = dict(self.readings[-1].context) if self.readings else {}
        return Session(
            id="hb-1",
            profile="small",
            readings=tuple(self.readings),
            observations=tuple(self.observations),
            context=context,
        )


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.fixture
def new_bench() -> Callable[[], Bench]:
    return Bench
