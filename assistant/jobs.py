"""The jobs of a shift: one mower's each, one of them at the bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from assistant.conversation import Conversation
from assistant.record.session_record import SessionRecord


@dataclass(frozen=True, slots=True)
class Job:
    """One mower's job: its record, and what is open in its conversation."""

    record: SessionRecord
    conversation: Conversation


class Jobs:
    """Jobs by unit, "" for the one whose mower was not named. A job is opened when it is first
    needed, so that saying nothing opens none."""

    def __init__(
        self,
        open_record: Callable[[str], SessionRecord],
        new_conversation: Callable[[], Conversation],
    ) -> None:
        self._open_record = open_record
        self._new_conversation = new_conversation
        self._jobs: dict[str, Job] = {}
        self._done: list[Job] = []
        self._unit = ""
        self.stopped = False

    @property
    def current(self) -> Job:
        """The job at the bench."""
        if self._unit not in self._jobs:
            record = self._open_record(self._unit)
            self._jobs[self._unit] = Job(record, self._new_conversation())
        return self._jobs[self._unit]

    @property
    def is_open(self) -> bool:
        """Whether the job at the bench has been opened."""
        return self._unit in self._jobs

    @property
    def opened(self) -> tuple[Job, ...]:
        return (*self._done, *self._jobs.values())

    def take_up(self, record: SessionRecord) -> None:
        """Takes a session that broke off to the bench."""
        self._unit = record.session.unit
        self._jobs[self._unit] = Job(record, self._new_conversation())

    def reopen(self) -> None:
        """Opens the record of the job at the bench again, verified. What is open in its
        conversation stays so, since it rests on what was entered. Raises RecordError; then
        ``stopped`` is true until it succeeds."""
        self.stopped = True
        if self.is_open:
            job = self.current
            self._jobs[self._unit] = Job(job.record.reopen(), job.conversation)
        self.stopped = False

    def set_aside(self) -> None:
        """The job at the bench is closed: what comes next for its unit is another job."""
        self._done.append(self._jobs.pop(self._unit))

    def turn_to(self, unit: str) -> None:
        """Takes the job of ``unit`` to the bench."""
        self._unit = unit
