"""The pages, in the order in which the bar at the top shows them.

A page (or a group of pages) is one ``Tab`` in a file of its own; it is served once it is listed
here. Another part of the program adds its own in the same way: see DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from starlette.routing import BaseRoute


@dataclass(frozen=True, slots=True)
class Tab:
    """``title`` stands in the bar and leads to ``path``; "" keeps it out of the bar. ``templates``
    is the folder of its Jinja templates (those of this package are found anyway), ``files`` are
    its own style sheets or scripts, served as ``/static/<name>``."""

    title: str
    path: str
    routes: Sequence[BaseRoute]
    templates: Path | None = None
    files: tuple[Path, ...] = ()


def tabs() -> tuple[Tab, ...]:
    """Every page there is."""
    from assistant.practice import pages as practise
    from assistant.review.pages import (
        changes,
        depot,
        exports,
        live,
        session,
        sessions,
        sound,
        today,
        units,
    )

    shown = (today.TAB, sessions.TAB, units.TAB, depot.TAB, live.TAB, practise.TAB)
    return (*shown, session.TAB, sound.TAB, changes.TAB, exports.TAB)
