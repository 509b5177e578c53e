"""One exercise being done, line by line: the same for terminal, pipe and page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from assistant.audio.utterance import Utterance
from assistant.practice.exercise import Exercise
from assistant.practice.marks import Score
from assistant.record.session import Reading
from assistant.report.transcript import MARKS
from assistant.speaking.reply import Reply


@dataclass(frozen=True, slots=True)
class Shown:
    """What to show: plain lines, a picture (SVG) for a page, a recording to be heard.
    ``heard_all``: the trainee has said that nothing more is to be taken down."""

    lines: tuple[str, ...] = ()
    picture: str = ""
    sound: Path | None = None
    heard_all: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """How it ended. ``pairs`` are label, reference and what the trainee has, for numbers only.
    ``model_answer`` says what would have kept all marks."""

    score: Score
    model_answer: tuple[str, ...] = ()
    minutes: float | None = None
    best_minutes: float | None = None
    readings: tuple[Reading, ...] = ()
    pairs: tuple[tuple[str, str, str], ...] = ()


class Play(Protocol):
    """``prompt`` says what is expected now; ``done`` is set at the end."""

    exercise: Exercise
    done: Done | None

    @property
    def prompt(self) -> str: ...
    def begin(self) -> Shown: ...
    def type(self, line: str) -> Shown: ...
    def hear(self, utterance: Utterance) -> Shown: ...
    def close(self) -> None: ...


def reply_lines(replies: Iterable[Reply]) -> tuple[str, ...]:
    """What the assistant answered, marked as at the bench."""
    return tuple(f"  {MARKS[reply.tone]} {reply.shown}" for reply in replies)
