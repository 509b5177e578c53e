"""The supervisor's hand: corrections, comments and signature in a second journal.

It lies beside the technician's, which it never touches. Each entry cites the seal of the entry it
is about, so that neither journal can be exchanged under the other unseen.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from assistant.errors import RecordError, UnknownNameError
from assistant.record.body import Body, observation_body, plain, reading_body
from assistant.record.entry import Entry, Kind
from assistant.record.head import short_head
from assistant.record.journal import Clock, Journal
from assistant.record.moment import now
from assistant.record.replay import replay
from assistant.record.session import Observation, Reading, Session


class Review:
    """One supervisor's review of one session, open for writing.

    ``entries`` are the technician's, whole and verified. Every method raises RecordError when
    its entry could not be written.
    """

    def __init__(
        self, path: Path, entries: tuple[Entry, ...], who: str, clock: Clock = now
    ) -> None:
        if not who.strip():
            raise RecordError("A review needs the name or initials of who makes it.")
        self._who = who.strip()
        self._entries = entries
        if path.exists():
            self._journal = Journal.reopen(path, clock)
        else:
            body = {"session": entries[0].body.get("session"), "role": "review", "who": self._who}
            self._journal = Journal.create(path, body, clock)
        try:
            self.session = self._merged()
        except BaseException:
            self._journal.close()
            raise

    def correct(self, entry_id: str, reason: str, **fields: Any) -> Session:
        """Put a reading or an observation right: ``fields`` are those that change, by the names
        of ``Reading`` and ``Observation``. An asked reading corrected so is accepted."""
        old = self._current(entry_id)
        new = replace(old, **{"status": "accepted", **fields}, replaces=entry_id)
        if isinstance(new, Reading):
            return self._enter("reading", reading_body(new), entry_id, reason)
        return self._enter("observation", observation_body(new), entry_id, reason)

    def withdraw(self, entry_id: str, reason: str) -> Session:
        """Take a reading or an observation out of the session; it stays in the journal."""
        self._current(entry_id)
        return self._enter("withdrawal", {"entry": entry_id}, entry_id, reason)

    def comment(self, text: str) -> Session:
        """A note in the supervisor's name."""
        return self._append("note", {"text": plain(text)})

    def sign_off(self) -> str:
        """Sign everything entered so far; gives the short head of the technician's journal, to be
        said and noted elsewhere."""
        head = self._entries[-1].sha256
        self._append("signed_off", {"cites": head})
        return short_head(head)

    def close(self) -> None:
        """Close the file and let another review be written."""
        self._journal.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _current(self, entry_id: str) -> Reading | Observation:
        items: tuple[Reading | Observation, ...] = self.session.readings
        for item in items + self.session.observations:
            if item.id == entry_id:
                return item
        taken = self.session.replaced_by.get(entry_id)
        what = f"entry {taken} took its place" if taken else "the session has none of that number"
        raise UnknownNameError(f"Entry {entry_id} can't be changed: {what}.")

    def _enter(self, kind: Kind, body: Body, about: str, reason: str) -> Session:
        if not reason.strip():
            raise RecordError("A correction needs its reason: say why the entry is wrong.")
        return self._append(kind, {**body, "cites": self._seal(about), "reason": plain(reason)})

    def _append(self, kind: Kind, body: Body) -> Session:
        self._journal.append(kind, {**body, "by": self._who})
        self.session = self._merged()
        return self.session

    def _seal(self, entry_id: str) -> str:
        own = entry_id.startswith("r")
        entries = self._journal.entries if own else self._entries
        return entries[int(entry_id.removeprefix("r")) - 1].sha256

    def _merged(self) -> Session:
        return replay(self._entries, self._journal.entries)
