"""The practice room: a folder of its own below the user's home, apart from all real records.

<home>/practice/exercises/*.toml      the user's own exercises
               /sessions/…            what was taken down in exercises
               /practised.jsonl       marks, for what comes back and for the progress
               /my_<profile>.toml      the trainee's own profile, once a suggestion was taken
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from assistant.home import default_home
from assistant.open_assistant import open_assistant
from assistant.practice.exercise import Exercise
from assistant.practice.fault_finding import FaultFinding
from assistant.practice.library import Library
from assistant.practice.log import Log, Practised, practised
from assistant.practice.play import Play
from assistant.practice.schedule import Choice, choose
from assistant.practice.taking_down import TakingDown
from assistant.profile.load import load_profile
from assistant.record.journal import Clock
from assistant.record.store import Store
from assistant.settling.doubts import Trusted, nobody
from assistant.turn import Ears

FOLDER = "practice"


def _now() -> datetime:
    return datetime.now(UTC)


class PracticeRoom:
    """``who`` are the trainee's initials. Nothing outside ``folder`` is written."""

    def __init__(self, home: Path | None = None, who: str = "", clock: Clock = _now) -> None:
        self.folder = (home or default_home()) / FOLDER
        self.own_exercises = self.folder / "exercises"
        self.library = Library(self.own_exercises)
        self.log = Log(self.folder / "practised.jsonl")
        self.who = who
        self._clock = clock

    def now(self) -> datetime:
        return self._clock()

    def choose(self) -> Choice:
        """What to practise now."""
        done, _ = self.log.read(self.who)
        return choose(self.library.exercises, done, self._clock())

    def start(
        self,
        exercise: Exercise,
        *,
        ears: Ears | None = None,
        trusted: Trusted = nobody,
        models: dict[str, str] | None = None,
    ) -> Play:
        profile = load_profile(exercise.profile)
        bench = open_assistant(
            Store(self.folder, self._clock),
            profile,
            ears=ears,
            trusted=trusted,
            models=models,
            who=self.who,
            unit=exercise.unit,
        )
        if exercise.kind == "find_fault":
            return FaultFinding(exercise, profile, bench)
        return TakingDown(exercise, self.library.folder(exercise), profile, bench)

    def finish(self, play: Play) -> Practised:
        """Enters the marks of an exercise that is done. Raises ValueError while it isn't."""
        if play.done is None:
            raise ValueError(f"{play.exercise.id} is not done yet")
        one = practised(play.exercise, play.done, self.who, self._clock())
        self.log.add(one)
        play.close()
        return one
