"""Exercises that are being done on the pages: what was shown so far, kept while the server runs."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from assistant.practice.exercise import Exercise
from assistant.practice.play import Done, Play
from assistant.practice.room import PracticeRoom

MOST = 20
LONGEST_LINE = 400


@dataclass
class UnderWay:
    """One exercise in one browser. ``said`` are the trainee's lines, each with what came back."""

    room: PracticeRoom
    play: Play
    opening: tuple[str, ...]
    picture: str
    sound: Path | None
    said: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    lock: Lock = field(default_factory=Lock)

    @property
    def done(self) -> Done | None:
        return self.play.done

    def type(self, line: str) -> None:
        """One line at a time, also from a browser that sends twice."""
        with self.lock:
            if self.play.done is not None:
                return
            shown = self.play.type(line[:LONGEST_LINE])
            self.picture = shown.picture or self.picture
            lines = () if shown.picture else shown.lines
            self.said.append((line[:LONGEST_LINE], lines))
            if self.play.done is not None:
                self.room.finish(self.play)


class AllUnderWay:
    """The oldest makes room; what was left before its end keeps no marks."""

    def __init__(self) -> None:
        self._found: dict[str, UnderWay] = {}
        self._lock = Lock()

    def start(self, room: PracticeRoom, exercise: Exercise) -> str:
        """Gives the key under which it is found again."""
        play = room.start(exercise)
        shown = play.begin()
        lines: Sequence[str] = shown.lines
        if shown.picture or shown.sound:
            lines = lines[:1]  # the rest is the picture, or the recording, in words
        one = UnderWay(room, play, tuple(lines), shown.picture, shown.sound)
        key = secrets.token_urlsafe(12)
        with self._lock:
            while len(self._found) >= MOST:
                old = self._found.pop(next(iter(self._found)))
                if old.done is None:
                    old.play.close()
            self._found[key] = one
        return key

    def find(self, key: str) -> UnderWay | None:
        return self._found.get(key)
