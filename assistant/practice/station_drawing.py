"""A station with its mower drawn with characters: the one context that is seen and not told in
words. Other trades say in their profile how a context is seen."""

from __future__ import annotations

from collections.abc import Mapping

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
DRAWN = {("station", "docked"): _DOCKED, ("station", "undocked"): _UNDOCKED}


def drawn_lines(where: Mapping[str, str]) -> tuple[str, ...]:
    """How the machine stands, where there is a drawing of that."""
    return tuple(line.rstrip() for pair in where.items() for line in DRAWN.get(pair, ()))
