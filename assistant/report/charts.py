"""The first two positions against each other (front and rear), as a picture for the page: SVG that
takes the page's own colours.

The first is a filled disc, the second a hollow square, so that print and eyes without colour tell
them apart. Each row is one quantity in one context, the number beside each mark.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

from assistant.diagnosis.measured import over_the_wire
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.speaking.label import context_words, shown_label

INK = "#010203"
"""Stands for the page's text colour until the SVG is on the page."""
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
    """``Front against rear``; "" for a trade without two positions."""
    if len(profile.position) < 2:
        return ""
    first, second = (p.title for p in profile.position[:2])
    return f"{first.capitalize()} against {second}"


def facing_legend(profile: Profile) -> str:
    if len(profile.position) < 2:
        return ""
    first, second = (p.title for p in profile.position[:2])
    return (
        f"Filled disc: {first}. Hollow square: {second}. A dotted line joins readings that must "
        "not be compared."
    )


def _each(row: Facing) -> str:
    return ", ".join(f"{n} {v:g}" for n, v in zip(row.names, row.values, strict=True))


def chart(rows: tuple[Facing, ...], title: str) -> str:
    """The SVG element, without XML heading, metadata or links; "" when there is nothing to show."""
    if not rows:
        return ""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "benchcall", "font.size": 11}):
        figure = Figure(figsize=(_WIDTH, 0.45 + _ROW * len(rows)), layout="constrained")
        axes = figure.add_subplot()
        for y, row in enumerate(rows):
            axes.plot(
                row.values,
                [y, y],
                color=INK,
                linewidth=1.2,
                linestyle="-" if row.compared else ":",
            )
            axes.plot(row.values[0], y, "o", color=INK, markersize=8, zorder=3)
            axes.plot(
                row.values[1],
                y,
                "s",
                markerfacecolor="none",
                markeredgecolor=INK,
                markersize=11,
                zorder=4,
            )
            axes.annotate(
                f"{row.label}: {_each(row)}".replace("-", "−"),
                (0, y),
                xycoords=("axes fraction", "data"),
                xytext=(0, 11),
                textcoords="offset points",
                color=INK,
            )
        low = min(0.0, *(min(r.values) for r in rows))
        high = max(0.0, *(max(r.values) for r in rows))
        margin = 0.06 * max(high - low, 10)
        axes.set_xlim(low - margin, high + margin)
        axes.set_ylim(len(rows) - 0.6, -0.6)
        for y in range(len(rows)):
            axes.plot([0, 0], [y - 0.15, y + 0.15], color=INK, linewidth=0.8)
        axes.set_yticks([])
        axes.tick_params(colors=INK)
        for side in ("left", "right", "top"):
            axes.spines[side].set_visible(False)
        axes.spines["bottom"].set_color(INK)
        buffer = io.StringIO()
        nothing = dict.fromkeys(("Creator", "Date", "Format", "Type"))
        figure.savefig(buffer, format="svg", transparent=True, metadata=nothing)
    return inline(buffer.getvalue(), title)


def inline(svg: str, title: str) -> str:
    """An SVG file as an element of a page: no prolog, no metadata, no links, the page's ink."""
    from html import escape

    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.S)
    svg = re.sub(r'\sxmlns(:\w+)?="[^"]*"', "", svg)
    svg = re.sub(r"font: [^;\"]*?(\d+)px [^;\"]*", r"font-size: \1px", svg)
    svg = re.sub(r'(<svg[^>]*?) height="[^"]*"', r"\1", svg, count=1)
    svg = re.sub(r'(<svg[^>]*?) width="[^"]*"', r'\1 role="img"', svg, count=1)
    head, rest = svg.split(">", 1)
    return f"{head}><title>{escape(title)}</title>{rest}".replace(INK, "currentColor").strip()
