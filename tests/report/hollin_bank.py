"""One session of everything a report can show, at the invented depot of Hollin Bank."""

from __future__ import annotations

from typing import Any

from assistant.diagnosis.finding import Cause, Diagnosis, Finding, NextCheck, RepairProof
from assistant.record.session import Note, Observation, Reading, Session

UNDOCKED = {"station": "undocked"}
DOCKED = {"station": "docked"}


def reading(
    id_: str, quantity: str, position: str | None, value: str | None, **more: Any
) -> Reading:
    label = " ".join(filter(None, [quantity, position, value]))
    fields: dict[str, Any] = {
        "state": "value",
        "unit": "1",
        "context": UNDOCKED,
        "status": "accepted",
        "heard": f"heard {label}",
        "confidence": 0.97,
        "source": "hollin_bank_47.wav",
        "start": 1.25,
        "end": 3.5,
        "at": "2026-05-04T08:12:05Z",
    }
    return Reading(id=id_, quantity=quantity, position=position, value=value, **(fields | more))


SESSION = Session(
    id="20260504-080905-unit47-3fa9",
    profile="robot_mower",
    opened="2026-05-04T08:09:05Z",
    who="KV",
    unit="47",
    readings=(
        reading("2", "guide_signal", "front", "46"),
        reading("3", "guide_signal", "rear", "49"),
        reading("4", "guide_signal", "front", "102", context=DOCKED),
        reading("5", "guide_signal", "rear", "-65", context=DOCKED),
        reading("6", "battery_voltage", None, "18.40", unit="V", context={}),
        reading("7", "contact_voltage", None, "20.1", unit="V", context={}, missing=("load",)),
        reading("8", "charging_current", None, "1.50", unit="A", status="asked", doubts=("value",)),
        reading("9", "boundary_resistance", None, None, state="off_scale", unit="Ohm", context={}),
        reading("10", "guide_signal", "front", "98", context={**UNDOCKED, "repair": "after"}),
    ),
    observations=(
        Observation("20", "complaint", "drives past the station", heard="complaint drives past"),
        Observation("21", "docking", "misses", heard="homing misses"),
    ),
    notes=(
        Note("30", "seal at the hatch looks tired", at="2026-05-04T08:30:00Z"),
        Note("31", "uh next to", understood=False),
    ),
    superseded=(
        reading("1", "guide_signal", "front", "64"),
        reading("0", "guide_signal", "rear", "7"),
    ),
    replaced_by={"1": "2", "0": "40"},
    head="9f2cab34" * 8,
    opening={"version": "0.1.0"},
)

FLOOR = Finding("guide_signal_floor", "suspect", ("2",), "front 46 is below the limit 67")
DOCKING = Finding("docking", "out", ("21",), "misses its station")
DIAGNOSIS = Diagnosis(
    findings=(
        Finding("guide_signal_sign", "ok", ("2",), "front 46 is positive", "common practice"),
        FLOOR,
        Finding("pair_guide_signal", "not_applicable", ("4", "5"), "docked: not compared"),
        DOCKING,
        Finding("contact_resistance", "unknown", (), "open volts not taken yet"),
    ),
    causes=(
        Cause(
            "guide_wire_out_of_line",
            "guide wire out of line",
            0.87,
            ("front 46 is low",),
            ('"the loop is open" should show, but it is off scale',),
            remedy="Lay it straight.",
            caution="Isolate the supply before digging.",
        ),
        Cause("battery", "battery", 0.01),
    ),
    next_checks=(
        NextCheck("look", "Look at the wire", 3, 0.6, "Isolate the supply.", "dock the mower"),
    ),
    verdict="Not enough yet.",
    still_flagged=(FLOOR, DOCKING),
    repairs=(RepairProof("guide_signal_floor", "gone", ("2", "10"), "gone: 98 after 46"),),
    release_missing=("Stop button: passes or fails?",),
)

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7*7 }}{% raw %}",
    "\x1b[2J\x1b]0;owned\x07",
    "[bold red]markup[/]",
    '=HYPERLINK("http://x")',
    "\u202eevil\u2066",
    "\ud800",
)
"""Notes that try to be something else than words."""
