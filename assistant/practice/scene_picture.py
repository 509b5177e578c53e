"""The scene of a *dictate* exercise as SVG, in the page's own colours; never the context's words.

The station and the mower are seen from above: the mower stands on the plate, or out on the lawn
over the guide wire.
"""

from __future__ import annotations

from html import escape

from assistant.practice.exercise import Scene
from assistant.practice.scene_drawing import display_rows, mower_lines
from assistant.profile.schema import Profile

_WIDE, _ROW = 640, 30
_STATION = (
    '<rect x="20" y="20" width="190" height="130" rx="6" class="line"/>'
    '<text x="28" y="40" class="small">station</text>'
    '<rect x="30" y="52" width="34" height="80" class="solid"/>'
    '<rect x="64" y="80" width="10" height="24" class="line"/>'
)
_WIRE = '<path d="M74 92 H620" class="wire"/><text x="530" y="112" class="small">guide wire</text>'


def scene_svg(scene: Scene, profile: Profile) -> str:
    """A whole SVG element with a title for screen readers that gives nothing away."""
    station = scene.where.get("station")
    parts = []
    top = 10
    if station:
        parts += [_STATION, _WIRE, _mower(78 if station == "docked" else 330)]
        top = 170
    notes = [
        line.strip()
        for line in (scene.caption, *mower_lines({**scene.where, "station": ""}))
        if line
    ]
    for note in notes:
        parts.append(f'<text x="20" y="{top + 18}" class="note">{escape(note)}</text>')
        top += 26
    rows = display_rows(scene, profile)
    height = top + _ROW * len(rows) + 30
    parts.append(
        f'<rect x="20" y="{top + 6}" width="600" height="{_ROW * len(rows) + 14}" rx="10" '
        'class="display"/>'
    )
    for n, (label, value) in enumerate(rows):
        y = top + 34 + n * _ROW
        parts.append(f'<text x="40" y="{y}" class="label">{escape(label)}</text>')
        parts.append(f'<text x="600" y="{y}" class="value">{escape(value)}</text>')
    return (
        f'<svg class="scene" viewBox="0 0 {_WIDE} {height}" role="img">'
        f"<title>How the mower stands, and its display</title>"
        f"<style>{STYLE}</style>{''.join(parts)}</svg>"
    )


STYLE = (
    ".scene .line{fill:none;stroke:currentColor;stroke-width:2}"
    ".scene .solid{fill:currentColor;opacity:.35}"
    ".scene .wire{stroke:currentColor;stroke-width:2;stroke-dasharray:7 6;fill:none}"
    ".scene .mower{fill:#fff;stroke:currentColor;stroke-width:3}"
    ".scene .display{fill:none;stroke:currentColor;stroke-width:3}"
    ".scene text{fill:currentColor;font-family:system-ui,sans-serif}"
    ".scene .small{font-size:13px}.scene .note{font-size:17px}"
    ".scene .label{font-size:19px}"
    ".scene .value{font-size:22px;font-weight:700;text-anchor:end;"
    "font-family:ui-monospace,monospace}"
)


def _mower(x: int) -> str:
    """Seen from above, its contacts towards the station, a wheel at each rear corner."""
    return (
        f'<rect x="{x + 104}" y="44" width="34" height="96" rx="6" class="solid"/>'
        f'<rect x="{x}" y="52" width="150" height="80" rx="26" class="mower"/>'
        f'<circle cx="{x + 18}" cy="92" r="5" class="solid"/>'
        f'<text x="{x + 48}" y="97" class="small">mower</text>'
    )
