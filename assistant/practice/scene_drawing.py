"""The scene of a *dictate* exercise drawn with characters: how the mower stands, and its display.

It shows what a technician sees and never the words: docked or not is for the trainee to say.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.practice.exercise import Scene
from assistant.practice.shown import read_shown
from assistant.profile.schema import Profile
from assistant.report.printable import printable
from assistant.speaking.label import quantity_of, shown_label

_DOCKED = (
    "   ┌ station ──────┐                      ",
    "   │ ▒▒▒ ╭─────────┴╮                     ",
    "   │ ▒▒▒▐│ ●  mower │┄┄┄┄┄┄ guide wire ┄┄┄",
    "   │ ▒▒▒ ╰─────────┬╯                     ",
    "   └───────────────┘                      ",
)
_UNDOCKED = (
    "   ┌ station ──────┐                      ",
    "   │ ▒▒▒           │        ╭──────────╮  ",
    "   │ ▒▒▒▐┄┄┄┄┄┄┄┄┄┄│┄ guide ┄│ ●  mower │┄",
    "   │ ▒▒▒           │        ╰──────────╯  ",
    "   └───────────────┘                      ",
)
_LOAD = {
    "open": "   meter: no current flows, the plug is out",
    "loaded": "   meter: the charging lamp is on, current flows",
}
_REPAIR = {
    "before": "   job card: nothing mended yet",
    "after": "   job card: repair done, measuring again",
}


def mower_lines(where: Mapping[str, str]) -> tuple[str, ...]:
    """How the mower stands, as far as that is known."""
    lines: list[str] = []
    if where.get("station") == "docked":
        lines += _DOCKED
    elif where.get("station") == "undocked":
        lines += _UNDOCKED
    lines += [_LOAD[v] for k, v in where.items() if k == "load" and v in _LOAD]
    lines += [_REPAIR[v] for k, v in where.items() if k == "repair" and v in _REPAIR]
    return tuple(line.rstrip() for line in lines)


def display_rows(scene: Scene, profile: Profile) -> tuple[tuple[str, str], ...]:
    """Label and value as the display shows them."""
    rows = []
    for text in scene.show:
        quantity, position, state, value = read_shown(text, profile)
        row = quantity_of(profile, quantity)
        unit = UNITS.get(row.unit, row.unit) if row is not None else ""
        shown = {"off_scale": "OL", "no_reading": "---"}.get(state) or f"{value} {unit}".strip()
        rows.append((shown_label(profile, quantity, position), shown.replace("-", "−", 1)))
    return tuple(rows)


UNITS = {
    "1": "",
    "Ohm": "Ω",
    "MOhm": "MΩ",
    "deg": "°",
    "Cel": "°C",
    "mm2": "mm²",
    "A.h": "Ah",
}


def scene_lines(scene: Scene, profile: Profile) -> tuple[str, ...]:
    rows = display_rows(scene, profile)
    left = max(len(label) for label, _ in rows)
    right = max(7, *(len(value) for _, value in rows))
    wide = left + right + 5
    lines = [f"   {printable(scene.caption)}"] if scene.caption else []
    lines += [*mower_lines(scene.where), ""]
    lines += [f"   ╔{'═' * wide}╗"]
    lines += [f"   ║ {label:{left}}   {value:>{right}} ║" for label, value in rows]
    return (*lines, f"   ╚{'═' * wide}╝")
