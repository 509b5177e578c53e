"""All exercises that there are: the shipped ones and the user's own."""

from __future__ import annotations

from pathlib import Path

from assistant.errors import BenchcallError, UnknownNameError
from assistant.practice.exercise import Exercise, read_exercise
from assistant.profile.nearest import nearest

SHIPPED = Path(__file__).parent / "exercises"


class Library:
    """All exercises by level; ``wrong`` tells which files could not be read, and why."""

    def __init__(self, *folders: Path) -> None:
        self.wrong: list[str] = []
        self._found: dict[str, tuple[Exercise, Path]] = {}
        for folder in (SHIPPED, *folders):
            for path in sorted(folder.glob("*.toml")):
                try:
                    exercise = read_exercise(path)
                except BenchcallError as error:
                    self.wrong.append(str(error))
                    continue
                if exercise.id in self._found:
                    other = self._found[exercise.id][1]
                    self.wrong.append(
                        f"{path}: found the id '{exercise.id}', which {other} has; allowed: an id "
                        "of its own."
                    )
                    continue
                self._found[exercise.id] = (exercise, path)

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        return tuple(
            sorted((e for e, _ in self._found.values()), key=lambda e: (e.level, e.kind, e.id))
        )

    def find(self, name: str) -> Exercise:
        """Raises UnknownNameError with the nearest ids."""
        if name in self._found:
            return self._found[name][0]
        near = nearest(name, self._found) or list(self._found)[:3]
        raise UnknownNameError(
            f"There is no exercise {name!r}. The nearest: {', '.join(near)}. All of them: "
            "benchcall practise --list."
        )

    def folder(self, exercise: Exercise) -> Path:
        return self._found[exercise.id][1].parent
