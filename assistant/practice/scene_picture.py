"""The scene of a *dictate* exercise as SVG, in the page's own colours; never the context's words.

Plain attributes, no style: a strict content policy shows it too.

A station and its mower are seen from above: the mower stands on the plate, or out on the lawn
over the guide wire. Whatever else is to be seen stands in words.
"""

from __future__ import annotations

from html import escape

from assistant.practice.exercise import Scene
from assistant.practice.scene_drawing import display_rows, seen_lines
from assistant.practice.station_drawing import DRAWN
from assistant.profile.schema import Profile

_WIDE, _ROW = 640, 30
_LINE = 'fill="none" stroke="currentColor" stroke-width="2"'
_SOLID = 'fill="currentColor" fill-opacity="0.35"'
_TEXT = 'fill="currentColor" font-family="system-ui, sans-serif"'
_STATION = (
    f'<rect x="20" y="20" width="190" height="130" rx="6" {_LINE}/>'
    f'<text x="28" y="40" font-size="13" {_TEXT}>station</text>'
    f'<rect x="30" y="52" width="34" height="80" {_SOLID}/>'
    f'<rect x="64" y="80" width="10" height="24" {_LINE}/>'
)
_WIRE = f'<text x="530" y="112" font-size="13" {_TEXT}>guide wire</text>'


def scene_svg(scene: Scene, profile: Profile) -> str:
    """A whole SVG element with a title for screen readers that gives nothing away."""
    station = scene.where.get("station")
    parts = []
    top = 10
    if ("station", station) in DRAWN:
        parts += [_STATION, _WIRE, *_mower(78 if station == "docked" else 330)]
        top = 170
    for note in filter(None, (scene.caption, *seen_lines(scene.where, profile))):
        parts.append(f'<text x="20" y="{top + 18}" font-size="17" {_TEXT}>{escape(note)}</text>')
        top += 26
    rows = display_rows(scene, profile)
    height = top + _ROW * len(rows) + 30
    parts.append(
        f'<rect x="20" y="{top + 6}" width="600" height="{_ROW * len(rows) + 14}" rx="10" '
        'fill="none" stroke="currentColor" stroke-width="3"/>'
    )
    for n, (label, value) in enumerate(rows):
        y = top + 34 + n * _ROW
        parts.append(f'<text x="40" y="{y}" font-size="19" {_TEXT}>{escape(label)}</text>')
        parts.append(
            f'<text x="600" y="{y}" font-size="22" font-weight="700" text-anchor="end" '
            f'fill="currentColor" font-family="ui-monospace, monospace">{escape(value)}</text>'
        )
    return (
        f'<svg class="scene" viewBox="0 0 {_WIDE} {height}" role="img">'
        f"<title>What is seen of the {escape(profile.profile.machine)}, and the display</title>"
        f"{''.join(parts)}</svg>"
    )


def _mower(x: int) -> tuple[str, ...]:
    """Seen from above, its contacts towards the station, the drive wheels at its far end; the
    wire is seen on both sides of it."""
    dashes = 'stroke="currentColor" stroke-width="2" stroke-dasharray="7 6"'
    near = f'<path d="M74 92 H{x}" {dashes}/>' if x > 74 else ""
    return (
        near,
        f'<path d="M{x + 150} 92 H620" {dashes}/>',
        f'<rect x="{x + 104}" y="44" width="34" height="8" {_SOLID}/>',
        f'<rect x="{x + 104}" y="132" width="34" height="8" {_SOLID}/>',
        f'<rect x="{x}" y="52" width="150" height="80" rx="26" {_LINE}/>',
        f'<circle cx="{x + 18}" cy="92" r="5" {_SOLID}/>',
        f'<text x="{x + 48}" y="97" font-size="13" {_TEXT}>mower</text>',
    )
