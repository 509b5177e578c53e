"""Which microphone and loudspeaker: by number or part of a name, the last choice remembered."""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Any

from assistant.audio.sound_devices import Kind, sound_devices
from assistant.errors import UnknownNameError
from assistant.home import default_home

_WHAT: dict[Kind, str] = {"input": "microphone", "output": "loudspeaker"}


def listed() -> str:
    """All devices for the user, a line each."""
    kept = _read()
    lines = []
    for kind, what in _WHAT.items():
        lines.append(f"{what.capitalize()}s:")
        here = sound_devices(kind)
        if not here:
            lines.append("  none is there: plug one in, or see to the system's sound settings")
        for number, name in here.items():
            chosen = "  (chosen last)" if name == kept.get(kind) else ""
            lines.append(f"  {number}  {name}{chosen}")
    return "\n".join(lines)


def chosen(kind: Kind, said: str) -> str | None:
    """The full name of the device that ``said`` means, kept for the next time; where nothing is
    said the one chosen last if it is here, else None for the system's own choice.

    Raises UnknownNameError where no device, or more than one, is meant.
    """
    here = sound_devices(kind)
    if not said:
        last = _read().get(kind)
        return last if last in here.values() else None
    if said.isdigit() and int(said) in here:
        name = here[int(said)]
    else:
        fitting = [name for name in here.values() if name.casefold() == said.casefold()]
        fitting = fitting or [n for n in here.values() if said.casefold() in n.casefold()]
        if len(set(fitting)) != 1:
            raise UnknownNameError(
                f"{'Several devices fit' if fitting else 'There is no'} {_WHAT[kind]} {said!r}. "
                f"Here are:\n{listed()}"
            )
        name = fitting[0]
    _write({**_read(), kind: name})
    return name


def _path() -> Path:
    return default_home() / "sound_devices.json"


def _read() -> dict[str, Any]:
    try:
        kept = json.loads(_path().read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _write(kept: dict[str, Any]) -> None:
    with contextlib.suppress(OSError):  # the choice then only has to be made again
        _path().parent.mkdir(parents=True, exist_ok=True)
        _path().write_text(json.dumps(kept), "utf-8")
