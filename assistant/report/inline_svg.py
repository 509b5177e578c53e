"""Pictures for a page: SVG elements that take the page's own colours."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from typing import Any

INK = "#010203"
"""Stands for the page's text colour until the SVG is on the page."""


class Drawing:
    """``figure`` is matplotlib's, to be drawn on; ``svg`` the element, once that is done."""

    def __init__(self, figure: Any) -> None:
        self.figure = figure
        self.svg = ""


@contextmanager
def drawing(width: float, height: float, title: str) -> Iterator[Drawing]:
    """Draw on ``figure`` within it (inches), then take ``svg``: the same each time for the same."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    with rc_context({"svg.fonttype": "none", "svg.hashsalt": "benchcall", "font.size": 11}):
        made = Drawing(Figure(figsize=(width, height), layout="constrained"))
        yield made
        buffer = io.StringIO()
        nothing = dict.fromkeys(("Creator", "Date", "Format", "Type"))
        made.figure.savefig(buffer, format="svg", transparent=True, metadata=nothing)
    made.svg = inline(buffer.getvalue(), title)


def bare(axes: Any, *sides: str) -> None:
    """Only these sides of the frame stay, in the page's ink."""
    axes.tick_params(colors=INK)
    for side, spine in axes.spines.items():
        spine.set_visible(side in sides)
        spine.set_color(INK)


def inline(svg: str, title: str) -> str:
    """An SVG file as an element of a page: no prolog, no metadata, no links, the page's ink."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.S)
    svg = re.sub(r'\sxmlns(:\w+)?="[^"]*"', "", svg)
    svg = re.sub(r"font: [^;\"]*?(\d+)px [^;\"]*", r"font-size: \1px", svg)
    svg = re.sub(r'(<svg[^>]*?) height="[^"]*"', r"\1", svg, count=1)
    svg = re.sub(r'(<svg[^>]*?) width="[^"]*"', r'\1 role="img"', svg, count=1)
    head, rest = svg.split(">", 1)
    return f"{head}><title>{escape(title)}</title>{rest}".replace(INK, "currentColor").strip()
