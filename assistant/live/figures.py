"""Figures that can be read from across a workshop: five rows high, in block characters."""

from __future__ import annotations

_ROWS: dict[str, tuple[str, ...]] = {
    "0": ("████", "█  █", "█  █", "█  █", "████"),
    "1": ("  █ ", " ██ ", "  █ ", "  █ ", " ███"),
    "2": ("████", "   █", "████", "█   ", "████"),
    "3": ("████", "   █", " ███", "   █", "████"),
    "4": ("█  █", "█  █", "████", "   █", "   █"),
    "5": ("████", "█   ", "████", "   █", "████"),
    "6": ("████", "█   ", "████", "█  █", "████"),
    "7": ("████", "   █", "  █ ", "  █ ", "  █ "),
    "8": ("████", "█  █", "████", "█  █", "████"),
    "9": ("████", "█  █", "████", "   █", "████"),
    "-": ("    ", "    ", "████", "    ", "    "),
    ".": (" ", " ", " ", " ", "█"),
}
HEIGHT = 5


def big(value: str) -> list[str]:
    """The rows of a number; a true minus sign counts as a minus. ValueError for anything else."""
    characters = value.replace("−", "-")
    unknown = set(characters) - set(_ROWS)
    if unknown:
        raise ValueError(f"{sorted(unknown)} can't be shown big")
    return ["  ".join(_ROWS[one][row] for one in characters) for row in range(HEIGHT)]
