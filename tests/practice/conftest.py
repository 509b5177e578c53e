"""A practice room in an empty home, and trainees who type from a script."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.practice.exercise import Exercise
from assistant.practice.library import Library
from assistant.practice.play import Done
from assistant.practice.room import PracticeRoom

LIBRARY = Library()
EXERCISES = {exercise.id: exercise for exercise in LIBRARY.exercises}


class Days:
    """A clock that stands still until it is set on."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def later(self, **more: float) -> None:
        self.now += timedelta(**more)


@pytest.fixture
def days() -> Days:
    return Days()


@pytest.fixture
def room(tmp_path: Path, days: Days) -> PracticeRoom:
    return PracticeRoom(tmp_path / "home", "A. B.", days)


Typed = Callable[[str, Iterable[str]], Done]


@pytest.fixture
def typed(room: PracticeRoom) -> Typed:
    """Types these lines in an exercise, and gives how it ended."""

    def type_lines(name: str, lines: Iterable[str]) -> Done:
        play = room.start(EXERCISES[name])
        play.begin()
        for line in lines:
            assert play.done is None, f"done before {line!r}"
            play.type(line)
        assert play.done is not None, "not done yet"
        room.finish(play)
        return play.done

    return type_lines


def of_kind(*kinds: str) -> list[Exercise]:
    return [e for e in LIBRARY.exercises if e.kind in kinds]
