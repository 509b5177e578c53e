"""The first two positions against each other (front and rear), as a picture for the page: SVG that
takes the page's own colours.

The first is a filled disc, the second a hollow square, so that print and eyes without colour tell
them apart. Each row is one quantity in one context, the number beside each mark.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from assistant.diagnosis.measured import over_the_wire
from assistant.diagnosis.reasons import signed
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.report.inline_svg import INK, bare, drawing
from assistant.speaking.label import context_words, shown_label

_WIDTH = 5.2
_ROW = 0.62


@dataclass(frozen=True, slots=True)
class Facing:
    """Both positions of one quantity in one context, by name; the last reading of each counts."""

    label: str
    names: tuple[str, str]
    values: tuple[float, float]
    compared: bool
    """Whether a pair rule of the profile compares them in this context."""


def facing(session: Session, profile: Profile) -> tuple[Facing, ...]:
    """Every quantity and context in which both of the profile's first two positions were read."""
    if len(profile.position) < 2:
        return ()
    first, second = (p.id for p in profile.position[:2])
    names = (profile.position[0].title, profile.position[1].title)
    found: dict[tuple[str, tuple[tuple[str, str], ...]], dict[str, float]] = {}
    for r in over_the_wire(session):
        if r.number is not None and r.position in (first, second):
            key = (r.quantity, tuple(sorted(r.context.items())))
            found.setdefault(key, {})[r.position] = float(r.number)
    rows = []
    for (quantity, context), values in found.items():
        if len(values) == 2:
            where = dict(context)
            words = ", ".join(context_words(profile, where, where))
            name = shown_label(profile, quantity, None)
            rows.append(
                Facing(
                    f"{name}, {words}" if words else name,
                    names,
                    (values[first], values[second]),
                    any(
                        pair.quantity == quantity and pair.when.items() <= where.items()
                        for pair in profile.pair
                    ),
                )
            )
    return tuple(rows)


def facing_title(profile: Profile) -> str:
    """``Front against rear``; for a trade of two positions."""
    first, second = (p.title for p in profile.position[:2])
    return f"{first.capitalize()} against {second}"


def facing_legend(profile: Profile) -> str:
    first, second = (p.title for p in profile.position[:2])
    return (
        f"Filled disc: {first}. Hollow square: {second}. A dotted line joins readings that must "
        "not be compared."
    )


def facing_picture(rows: tuple[Facing, ...], title: str) -> str:
    """The SVG element of one row or more."""
    with drawing(_WIDTH, 0.45 + _ROW * len(rows), title) as made:
        axes = made.figure.add_subplot()
        for y, row in enumerate(rows):
            _draw(axes, y, row)
        low = min(0.0, *(min(r.values) for r in rows))
        high = max(0.0, *(max(r.values) for r in rows))
        margin = 0.06 * max(high - low, 10)
        axes.set_xlim(low - margin, high + margin)
        axes.set_ylim(len(rows) - 0.6, -0.6)
        axes.set_yticks([])
        bare(axes, "bottom")
    return made.svg


def _draw(axes: Any, y: int, row: Facing) -> None:
    line = "-" if row.compared else ":"
    axes.plot(row.values, [y, y], color=INK, linewidth=1.2, linestyle=line)
    axes.plot(row.values[0], y, "o", color=INK, markersize=8, zorder=3)
    square = {"markerfacecolor": "none", "markeredgecolor": INK, "markersize": 11}
    axes.plot(row.values[1], y, "s", zorder=4, **square)
    axes.plot([0, 0], [y - 0.15, y + 0.15], color=INK, linewidth=0.8)
    each = ", ".join(f"{n} {signed(f'{v:g}')}" for n, v in zip(row.names, row.values, strict=True))
    axes.annotate(
        f"{row.label}: {each}",
        (0, y),
        xycoords=("axes fraction", "data"),
        xytext=(0, 11),
        textcoords="offset points",
        color=INK,
    )
