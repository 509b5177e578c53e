"""What was practised so far: one JSON line for each exercise that was brought to its end."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from assistant.errors import RecordError
from assistant.practice.exercise import Exercise
from assistant.practice.marks import Score
from assistant.practice.play import Done

Pair = tuple[str, str, str]
"""Label, what it should be, what the trainee has."""


@dataclass(frozen=True, slots=True)
class Practised:
    """``at`` has a time zone. ``skills`` gives each skill the marks it cost, 0 where it was
    trained and cost none."""

    at: datetime
    who: str
    exercise: str
    kind: str
    level: int
    marks: float
    skills: Mapping[str, float]
    minutes: float | None = None
    best_minutes: float | None = None
    pairs: tuple[Pair, ...] = ()


def practised(exercise: Exercise, done: Done, who: str, at: datetime) -> Practised:
    return Practised(
        at,
        who,
        exercise.id,
        exercise.kind,
        exercise.level,
        done.score.total,
        _skills(exercise, done.score),
        done.minutes,
        done.best_minutes,
        done.pairs,
    )


def _skills(exercise: Exercise, score: Score) -> dict[str, float]:
    return {**dict.fromkeys(exercise.trains, 0.0), **score.cost_of_skills}


def best_marks(done: Iterable[Practised]) -> dict[str, float]:
    """The best that each exercise practised so far was done with."""
    best: dict[str, float] = {}
    for one in done:
        best[one.exercise] = max(one.marks, best.get(one.exercise, 0.0))
    return best


class Log:
    """The file is only ever added to; a line that can't be read is passed over and told."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def add(self, one: Practised) -> None:
        """Raises RecordError when it can't be written."""
        line = json.dumps({**asdict(one), "at": one.at.isoformat()}, ensure_ascii=False)
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with self._path.open("a", encoding="utf-8") as file:
                file.write(line + "\n")
        except OSError as error:
            raise RecordError(
                f"What was practised can't be kept in {self._path} ({error.strerror}). Free some "
                "space, or set BENCHCALL_HOME to a folder that may be written to."
            ) from error

    def read(self, who: str = "") -> tuple[tuple[Practised, ...], tuple[str, ...]]:
        """What ``who`` practised ("" for everybody), oldest first, and what can't be read."""
        found, wrong = [], []
        try:
            lines = self._path.read_text("utf-8").splitlines()
        except FileNotFoundError:
            return (), ()
        except (OSError, UnicodeDecodeError) as error:
            return (), (f"{self._path} can't be read ({error}); set it aside to begin anew.",)
        for number, line in enumerate(lines, 1):
            try:
                one = _practised(json.loads(line))
            except (ValueError, KeyError, TypeError) as error:
                wrong.append(f"{self._path}, line {number}, was passed over: {error}")
                continue
            if who in ("", one.who):
                found.append(one)
        return tuple(sorted(found, key=lambda one: one.at)), tuple(wrong)


def _practised(told: dict[str, object]) -> Practised:
    at = datetime.fromisoformat(str(told.pop("at")))
    if at.tzinfo is None:
        raise ValueError("its time has no zone")
    pairs = tuple(tuple(pair) for pair in told.pop("pairs", ()))  # type: ignore[attr-defined]
    return Practised(at=at, pairs=pairs, **told)  # type: ignore[arg-type]
