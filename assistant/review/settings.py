"""The depot's own settings, in a TOML file that people write and this program only reads."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import Field

from assistant.profile.load import read_checked
from assistant.profile.values import Table

FILE = "settings.toml"


class Sound(Table):
    """How long recordings are kept. Sessions that are still open are never touched.

    ``keep``: "always"; "flagged" (a recording goes ``days`` after its session was opened unless a
    finding, an open question or a correction rests on it); "days" (every recording goes then).
    """

    keep: Literal["always", "flagged", "days"] = "always"
    days: int = Field(default=30, ge=0, le=36_500)

    @property
    def words(self) -> str:
        """The rule in a sentence, as pages and erased recordings tell it."""
        if self.keep == "always":
            return "sound is kept"
        left = "" if self.keep == "days" else ", but not what a finding or question rests on"
        return f"sound is erased after {self.days} days{left}"


class Settings(Table):
    """All settings; each has a default, and so has a missing file."""

    sound: Sound = Sound()


def read_settings(home: Path) -> Settings:
    """Raises ProfileError naming line and fix, where the file is wrong."""
    path = home / FILE
    if not path.exists():
        return Settings()
    return read_checked(path, Settings, lambda _: ())
