"""Reads what is new or changed on the disk into the index, while the pages are served already;
the newest first."""

from __future__ import annotations

from dataclasses import dataclass, field
from threading import Event, Thread
from typing import Self

from assistant.depot.database import Depot
from assistant.depot.refresh import refresh
from assistant.errors import BenchcallError
from assistant.review.recent import Recent


class _StoppedError(Exception):
    """The server ends; what was read so far is in the index."""


@dataclass(slots=True)
class CatchingUp:
    """``told`` says how far it is, "" once nothing is left to read."""

    depot: Depot
    recent: Recent
    told: str = "Looking for new and changed sessions …"
    _stop: Event = field(default_factory=Event)
    _thread: Thread | None = None

    def __enter__(self) -> Self:
        self._thread = Thread(target=self._run, name="catching up")
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        assert self._thread is not None
        self._thread.join()

    def _run(self) -> None:
        try:
            self.recent.look()
            refresh(self.depot, self._progress)
            self.told = ""
        except _StoppedError:
            pass
        except BenchcallError as error:
            self.told = str(error)

    def _progress(self, done: int, of: int) -> None:
        if self._stop.is_set():
            raise _StoppedError
        self.told = f"{done} of {of} new or changed sessions are read; the list is not whole yet."
