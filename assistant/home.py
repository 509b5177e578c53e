"""Where the user's own data lie: sessions, models, what was verified on this machine."""

from __future__ import annotations

import os
from pathlib import Path


def default_home() -> Path:
    """BENCHCALL_HOME, else the user's data folder of this system."""
    if home := os.environ.get("BENCHCALL_HOME"):
        return Path(home).expanduser()
    import platformdirs

    return platformdirs.user_data_path("benchcall", appauthor=False)
