"""A session that is being recorded: its journal, the sound beside it, and the session so far."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from assistant.audio.utterance import RATE
from assistant.errors import RecordError, UnknownNameError
from assistant.profile.schema import Profile
from assistant.record.audio import AudioFolder
from assistant.record.body import Body, reading_body
from assistant.record.entry import Entry, Kind
from assistant.record.head import short_head
from assistant.record.journal import Journal
from assistant.record.opening import profile_hash
from assistant.record.replay import Replay
from assistant.record.session import Reading, Session
from assistant.record.write import Changes, entry_for, lapse, withdrawal
from assistant.settling.settled import Settled
from assistant.wording.statement import ObservationSaid, ReadingSaid


class SessionRecord:
    """Made by ``Store.create`` and ``Store.open``. What a method returns is on the disk.

    ``told`` holds what the user must be told about how it was opened, in plain words. Every
    method that enters something raises RecordError when it could not; the record is then closed
    and must be opened again.
    """

    def __init__(
        self, folder: Path, journal: Journal, profile: Profile, keep_audio: bool = True
    ) -> None:
        self.folder = folder
        self._profile = profile
        self.audio = AudioFolder(folder / "audio")
        self._journal = journal
        self._keep_audio = keep_audio
        self._units = {quantity.id: quantity.unit for quantity in profile.quantity}
        self._replay = Replay()
        for entry in journal.entries:
            self._replay.take(entry)
        self._session: Session | None = None
        self.told = _told(journal, self.session, profile)

    @property
    def session(self) -> Session:
        """The session so far."""
        if self._session is None:
            self._session = self._replay.session
        return self._session

    @property
    def head(self) -> str:
        """The seal of the last entry, 64 hex digits."""
        return self._journal.head

    @property
    def short_head(self) -> str:
        """Its first eight digits, to be said aloud and printed at close."""
        return short_head(self.head)

    def keep_audio(self, samples: NDArray[np.float32], rate: int = RATE) -> str | None:
        """Keep the sound of an utterance; gives its SHA-256 for ``enter``, None when readings
        only are recorded."""
        return self.audio.keep(samples, rate) if self._keep_audio else None

    def enter(
        self,
        settled: Settled,
        *,
        source: str = "",
        audio: str | None = None,
        replaces: str | None = None,
        changes: Changes | None = None,
    ) -> Entry:
        """Enter what was settled (``entry_for`` says how). A correction that names a label takes
        the place of the last current reading of that label and position."""
        said = settled.statement
        unit = ""
        if isinstance(said, ReadingSaid) and said.quantity is not None:
            unit = self._units.get(said.quantity, "1")
        if replaces is None and settled.answers is None:
            replaces = self._corrected(said)
        kind, body = entry_for(settled, unit, source, audio, replaces, changes)
        for cited in (body.get("replaces"), *body.get("changes", {})):
            self._must_know(cited)
        return self._append(kind, body)

    def confirm(self, entry_id: str, heard: str = "") -> Entry:
        """ "Affirm" to an asked reading: the same reading, accepted, in its place."""
        asked = self._replay.current(entry_id)
        if not isinstance(asked, Reading):
            raise UnknownNameError(f"Nothing is asked as entry {entry_id}; say the value again.")
        body = reading_body(asked)
        body |= {"status": "accepted", "replaces": entry_id, "confirmed": heard}
        body.pop("doubts", None)
        return self._append("reading", body)

    def withdraw(self, entry_id: str, heard: str = "") -> Entry:
        """Take an entry out of the session; it stays in the journal."""
        self._must_know(entry_id)
        return self._append(*withdrawal(entry_id, heard))

    def lapse(self, *keys: str, reason: str) -> tuple[Entry, ...]:
        """End running contexts; those that aren't running are left alone."""
        running = [key for key in keys if key in self.session.context]
        return tuple(self._append(kind, body) for kind, body in lapse(running, reason))

    def finish(self) -> str:
        """Enter the close of the session; gives the short head to be said and printed."""
        self._append("closed", {})
        return self.short_head

    def release(self) -> None:
        """Close the file and let other processes write; the session itself stays open."""
        self._journal.close()

    def reopen(self) -> SessionRecord:
        """This session opened again after something could not be entered.

        Raises RecordError where that can't be done, or where something that was acknowledged is
        not there any more.
        """
        self.release()
        known = self._journal.entries
        journal = self._journal.reopen(self._journal.path, self._journal.clock)
        if journal.entries[: len(known)] != known:
            journal.close()
            raise RecordError(
                f"The journal {journal.path} does not hold all that was said back any more. Copy "
                "it before doing anything else, see to the disk, and go on in a new session."
            )
        return SessionRecord(self.folder, journal, self._profile, self._keep_audio)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.release()

    def _append(self, kind: Kind, body: Body) -> Entry:
        entry = self._journal.append(kind, body)
        self._replay.take(entry)
        self._session = None
        return entry

    def _corrected(self, said: Any) -> str | None:
        match said:
            case ReadingSaid(corrects=True, quantity=str() as quantity, position=position):
                old = self._replay.latest(quantity, position)
            case ObservationSaid(corrects=True, item=item):
                old = self._replay.latest(item)
            case _:
                return None
        return None if old is None else old.id

    def _must_know(self, entry_id: str | None) -> None:
        if entry_id is not None and not self._replay.knows(entry_id):
            raise UnknownNameError(
                f"There is no entry {entry_id} in this session; say the label of the reading."
            )


def _told(journal: Journal, session: Session, profile: Profile) -> tuple[str, ...]:
    told = []
    if journal.torn is not None:
        told.append(
            "The last session broke off while something was being entered. It had not been said "
            f"back, so say it again; its remains lie in {journal.torn.name}."
        )
    if session.opening.get("profile_sha256") != profile_hash(profile):
        told.append(
            f"The profile {profile.id} has changed since this session was opened: findings follow "
            "the profile as it is now."
        )
    return tuple(told)
