"""The scene of a *dictate* exercise drawn with characters: what is seen, and the display.

It shows what a technician sees and never the words: docked or not is for the trainee to say. A
station is drawn; of any other context the profile says how it is seen.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.practice.exercise import Scene
from assistant.practice.shown import read_shown
from assistant.practice.station_drawing import drawn_lines
from assistant.profile.schema import Profile
from assistant.report.printable import printable
from assistant.speaking.label import shown_label
from assistant.speaking.units import written

NO_NUMBER = {"off_scale": "OL", "no_reading": "---"}
"""What meters show instead of one (common practice, no source)."""


def seen_lines(where: Mapping[str, str], profile: Profile) -> tuple[str, ...]:
    """What the profile says is seen of each context, in its own order."""
    values = [v for c in profile.context for v in c.value if where.get(c.id) == v.id]
    return tuple(printable(value.seen) for value in values if value.seen)


def display_rows(scene: Scene, profile: Profile) -> tuple[tuple[str, str], ...]:
    """Label and value as the display shows them."""
    rows = []
    for text in scene.show:
        quantity, position, state, value = read_shown(text, profile)
        unit = next(q.unit for q in profile.quantity if q.id == quantity)
        shown = NO_NUMBER.get(state) or written(value or "", unit)
        rows.append((shown_label(profile, quantity, position), shown))
    return tuple(rows)


def scene_lines(scene: Scene, profile: Profile) -> tuple[str, ...]:
    rows = display_rows(scene, profile)
    left = max(len(label) for label, _ in rows)
    right = max(7, *(len(value) for _, value in rows))
    wide = left + right + 5
    lines = [f"   {printable(scene.caption)}"] if scene.caption else []
    lines += drawn_lines(scene.where)
    lines += [f"   {line}" for line in seen_lines(scene.where, profile)]
    lines += [""]
    lines += [f"   ╔{'═' * wide}╗"]
    lines += [f"   ║ {label:{left}}   {value:>{right}} ║" for label, value in rows]
    return (*lines, f"   ╚{'═' * wide}╝")
