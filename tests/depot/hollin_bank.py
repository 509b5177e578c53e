"""Sessions of an invented depot, said in words so that they come about as a technician's do."""

from __future__ import annotations

from pathlib import Path

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from tests.record.saying import Ticks

FAULTY = (
    "complaint misses the station at the gate after rain",
    "guide front one oh two, rear seventy, undocked",
)
REPAIRED = (*FAULTY, "fitted part front loop sensor", "labour twenty five minutes")
PROVEN = (*REPAIRED, "guide front one oh two, rear ninety nine, undocked, after repair")
CLEAN = ("guide front one oh two, rear ninety eight, undocked",)
ASKED = ("guide front one oh two, rear ninety eight",)


class Bench:
    """Enters sessions into a home folder; each begins a day after the one before."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.clock = Ticks()
        self.store = Store(home, self.clock)
        self.profile = load_profile()

    def session(self, *lines: str, unit: str = "14", who: str = "KL", closed: bool = True) -> str:
        """The id of a new session in which these lines were said."""
        assistant = open_assistant(self.store, self.profile, unit=unit, who=who)
        for line in lines:
            assistant.type(line)
        name = assistant.session.id
        if closed:
            assistant.record.finish()
        assistant.close()
        self.clock.moment = self.clock.moment.replace(hour=8) + 24 * 3600 * Ticks().step
        return name

    def journal(self, name: str) -> Path:
        return self.store.folder / name / "journal.jsonl"
