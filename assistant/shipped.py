"""Where the files that ship beside the code lie: in a checkout, or inside an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(folder: str) -> Path:
    """The folder ``grammars``, ``demo_audio`` or ``models``, wherever this copy keeps it."""
    installed = _PACKAGE / "files" / folder
    return installed if installed.is_dir() else _PACKAGE.parent / folder
