"""Makes a session out of its entries: the same entries always give the same session.

``replay`` takes all at once; ``Replay`` takes them one by one, for a session that is under way.
The supervisor's review is a second journal whose entries cite the seals of the entries they are
about; its ids begin with "r". It is merged here and only here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from assistant.errors import RecordError
from assistant.record.body import note_of, observation_of, reading_of
from assistant.record.entry import Entry
from assistant.record.session import Note, Observation, Reading, Session, SignOff
from assistant.record.shape import check_shape
from assistant.record.write import CHANGEABLE


def replay(entries: Iterable[Entry], review_entries: Iterable[Entry] = ()) -> Session:
    """The session that the technician's journal tells, with the review's changes applied.

    Raises RecordError when the review cites entries that this journal doesn't hold, or an entry
    names one that isn't there or has a shape that this version can't read.
    """
    told = Replay()
    for entry in entries:
        told.take(entry)
    for entry in review_entries:
        told.take_review(entry)
    return told.session


class Replay:
    """A session in the making."""

    def __init__(self) -> None:
        self._opening: Mapping[str, Any] = {}
        self._opened = ""
        self._readings: dict[str, Reading] = {}
        self._observations: dict[str, Observation] = {}
        self._notes: dict[str, Note] = {}
        self._contexts: dict[str, tuple[str, str | None]] = {}
        self._superseded: list[Reading | Observation] = []
        self._replaced_by: dict[str, str] = {}
        self._seals: dict[str, str] = {}
        self._closed: str | None = None
        self._head = ""
        self._signed: SignOff | None = None
        self._conflicts: list[str] = []

    def take(self, entry: Entry) -> None:
        """The next entry of the technician's journal. Raises RecordError as ``replay`` does."""
        check_shape(entry)
        if entry.kind == "opened":
            self._opening, self._opened = entry.body, entry.at
        else:
            self._apply(entry, entry.id)
        self._closed = entry.at if entry.kind == "closed" else None
        self._head = entry.sha256
        self._seals[entry.id] = entry.sha256

    def take_review(self, entry: Entry) -> None:
        """The next entry of the review; the technician's journal must have been taken whole."""
        check_shape(entry)
        entry_id = f"r{entry.seq}"
        body = entry.body
        if entry.kind == "opened":
            if body.get("session") != self._opening.get("session"):
                raise RecordError(
                    f"This review is of session {body.get('session')}, not of "
                    f"{self._opening.get('session')}. Put it back into its own folder."
                )
            return
        if entry.kind == "signed_off":
            self._sign(entry)
            return
        about = body.get("replaces") or body.get("entry")
        if about is not None:
            if self._seals.get(about) != body.get("cites"):
                raise _unknown(entry_id, str(about))
            if about in self._replaced_by:
                self._conflicts.append(
                    f"{body.get('by', 'the supervisor')} changed entry {about} "
                    f"({body.get('reason', '')}), but entry {self._replaced_by[about]} had "
                    "already taken its place. Look at both and correct again."
                )
                return
        self._unsign()
        self._apply(entry, entry_id)
        self._seals[entry_id] = entry.sha256

    @property
    def session(self) -> Session:
        """The session as told so far."""
        opening = self._opening
        return Session(
            id=opening.get("session", ""),
            profile=opening.get("profile", ""),
            opened=self._opened,
            who=opening.get("who", ""),
            unit=opening.get("unit", ""),
            readings=tuple(self._readings.values()),
            observations=tuple(self._observations.values()),
            notes=tuple(self._notes.values()),
            superseded=tuple(self._superseded),
            context=self._context(),
            closed=self._closed,
            head=self._head,
            opening=opening,
            replaced_by=dict(self._replaced_by),
            signed=self._signed,
            conflicts=tuple(self._conflicts),
        )

    def current(self, entry_id: str) -> Reading | Observation | None:
        """The reading or observation of this id, None when it was replaced or never was."""
        return self._readings.get(entry_id) or self._observations.get(entry_id)

    def latest(self, name: str, position: str | None = None) -> Reading | Observation | None:
        """The last current reading of this quantity and position, or observation of this item:
        what "correction" is about when it names a label."""
        for reading in reversed(self._readings.values()):
            if (reading.quantity, reading.position) == (name, position):
                return reading
        for seen in reversed(self._observations.values()):
            if seen.item == name:
                return seen
        return None

    def knows(self, entry_id: str) -> bool:
        """Whether an entry may cite this id."""
        return entry_id in self._seals

    def _apply(self, entry: Entry, entry_id: str) -> None:
        body = entry.body
        match entry.kind:
            case "reading":
                self._enter(reading_of(entry_id, entry.at, body))
            case "observation":
                self._enter(observation_of(entry_id, entry.at, body))
            case "note" | "not_understood":
                self._notes[entry_id] = note_of(entry, entry_id)
            case "context":
                self._contexts[entry_id] = (body["key"], body["value"])
            case "withdrawal":
                self._withdraw(body["entry"], entry_id)
        for changed, fields in body.get("changes", {}).items():
            self._change(changed, fields, entry_id)

    def _enter(self, item: Reading | Observation) -> None:
        if item.replaces is not None:
            self._withdraw(item.replaces, item.id)
        if isinstance(item, Reading):
            self._readings[item.id] = item
        else:
            self._observations[item.id] = item

    def _withdraw(self, entry_id: str, by: str) -> None:
        """An id that was replaced before stands for what took its place."""
        if not self.knows(entry_id):
            raise _unknown(by, entry_id)
        while entry_id in self._replaced_by and self.current(entry_id) is None:
            entry_id = self._replaced_by[entry_id]
        old = self._readings.pop(entry_id, None) or self._observations.pop(entry_id, None)
        if old is not None:
            self._superseded.append(old)
        self._notes.pop(entry_id, None)
        self._contexts.pop(entry_id, None)
        self._replaced_by[entry_id] = by

    def _change(self, entry_id: str, fields: Mapping[str, Any], by: str) -> None:
        old = self._readings.get(entry_id)
        if old is None or fields.keys() - CHANGEABLE:
            raise _unknown(by, entry_id)
        self._superseded.append(old)
        new: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in fields.items()}
        self._readings[entry_id] = replace(old, **new)

    def _context(self) -> dict[str, str]:
        running: dict[str, str | None] = {}
        for key, value in self._contexts.values():
            running[key] = value
        return {key: value for key, value in running.items() if value is not None}

    def _sign(self, entry: Entry) -> None:
        head = entry.body["cites"]
        if head not in self._seals.values():
            raise _unknown(f"r{entry.seq}", head[:8])
        self._signed = SignOff(entry.body["by"], entry.at, head, head == self._head)

    def _unsign(self) -> None:
        if self._signed is not None:
            self._signed = replace(self._signed, current=False)


def _unknown(entry_id: str, cited: str) -> RecordError:
    return RecordError(
        f"Entry {entry_id} changes entry {cited}, and this session has no such entry, or another "
        "one. The two files do not belong together, or one was exchanged: compare the head with "
        "the one noted at close."
    )
