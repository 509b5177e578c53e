"""Where sessions live: one folder each, found again by id or by the unit they are about.

<home>/sessions/20261125-171305-unit14-3fa9/journal.jsonl
                                           /review.jsonl
                                           /audio/<sha256>.wav
"""

from __future__ import annotations

import difflib
import re
import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path

from assistant.errors import RecordError, UnknownNameError
from assistant.home import default_home
from assistant.profile.schema import Profile
from assistant.record.entry import Entry, decode
from assistant.record.journal import Clock, Journal, read_journal, sync_folder
from assistant.record.moment import now
from assistant.record.opening import FORMAT, Meter, opening
from assistant.record.replay import replay
from assistant.record.review import Review
from assistant.record.session import Session
from assistant.record.session_record import SessionRecord
from assistant.record.shape import check_shape

JOURNAL = "journal.jsonl"
REVIEW = "review.jsonl"

PRIVACY_NOTE = (
    "The microphone may record people who stand by: tell them. Sound is kept beside the readings, "
    "on this computer only, so that a reading can be checked. To keep readings only, start with "
    "--no-audio; recordings can be erased later, and the readings stay."
)
"""Said and shown at the first run."""

_ID = re.compile(r"[0-9]{8}-[0-9]{6}-[a-z0-9]+-[0-9a-f]{4}")


@dataclass(frozen=True, slots=True)
class Listed:
    """A session in the list, read from the first line of its journal. ``trouble`` says why that
    line can't be read, "" when it can."""

    id: str
    folder: Path
    opened: str = ""
    unit: str = ""
    who: str = ""
    profile: str = ""
    trouble: str = ""


class Store:
    """The sessions under ``home``: BENCHCALL_HOME, else the user's data folder."""

    def __init__(self, home: Path | None = None, clock: Clock = now) -> None:
        self.home = home or default_home()
        self.folder = self.home / "sessions"
        self._clock = clock

    @property
    def first_run(self) -> bool:
        """No session was ever opened here: PRIVACY_NOTE is due."""
        return not self.folder.is_dir()

    def create(
        self,
        profile: Profile,
        *,
        who: str = "",
        unit: str = "",
        models: Mapping[str, str] | None = None,
        meters: Iterable[Meter] = (),
        keep_audio: bool = True,
    ) -> SessionRecord:
        """A new session. Raises RecordError when it can't be written."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            session, folder = self._new_folder(unit)
        except OSError as error:
            raise RecordError(
                f"No session can be opened in {self.folder} ({error.strerror}). Give yourself the "
                "right to write there, free some space, or set BENCHCALL_HOME to another folder."
            ) from error
        body = opening(session, profile, who, unit, models, meters)
        journal = Journal.create(folder / JOURNAL, body, self._clock)
        return SessionRecord(folder, journal, profile, keep_audio)

    def open(self, name: str, profile: Profile, *, keep_audio: bool = True) -> SessionRecord:
        """Go on in a session, verified from its first byte.

        Raises UnknownNameError, or RecordError when it is damaged or another process writes it.
        """
        folder = self.path(name)
        journal = Journal.reopen(folder / JOURNAL, self._clock)
        try:
            _belongs(journal.entries, folder)
            trade = journal.entries[0].body.get("profile")
            if trade != profile.id:
                raise RecordError(
                    f"Session {folder.name} is of another profile: add --profile {trade}."
                )
            return SessionRecord(folder, journal, profile, keep_audio)
        except BaseException:
            journal.close()
            raise

    def read(self, name: str) -> Session:
        """The session with its review merged, for readers: no lock, nothing changed."""
        review = self.path(name) / REVIEW
        return replay(self.entries(name), read_journal(review) if review.exists() else ())

    def entries(self, name: str) -> tuple[Entry, ...]:
        """What the technician entered, verified from the first byte, for readers."""
        folder = self.path(name)
        entries = read_journal(folder / JOURNAL)
        _belongs(entries, folder)
        return entries

    def review(self, name: str, who: str) -> Review:
        """A supervisor's review of a session, to be written beside it."""
        return Review(self.path(name) / REVIEW, self.entries(name), who, self._clock)

    def path(self, name: str) -> Path:
        """The folder of a session by its id, a part of it that only one has, or "last".

        Raises UnknownNameError with the nearest ids.
        """
        if _ID.fullmatch(name) and (self.folder / name).is_dir():
            return self.folder / name  # without looking through all the others
        ids = self._ids()
        if name == "last" and ids:
            return self.folder / ids[-1]
        exact = [session for session in ids if session == name]
        found = exact or [session for session in ids if name and name in session]
        if len(found) == 1:
            return self.folder / found[0]
        if found:
            raise UnknownNameError(
                f"{name!r} is part of {len(found)} sessions: {', '.join(found[-5:])}. Give more of "
                "the id."
            )
        near = difflib.get_close_matches(name, ids, n=3, cutoff=0.3) or ids[-3:]
        there = f"The nearest: {', '.join(near)}." if near else f"There are none in {self.folder}."
        raise UnknownNameError(f"There is no session {name!r}. {there}")

    def sessions(self) -> tuple[Listed, ...]:
        """All sessions, oldest first; damaged ones are listed with their trouble."""
        return tuple(_listed(self.folder / session) for session in self._ids())

    def names(self) -> tuple[str, ...]:
        """The ids of all sessions, oldest first; no file is opened."""
        return tuple(self._ids())

    def __contains__(self, name: str) -> bool:
        """Whether a session of exactly this id is here; what is no id never is."""
        return self.is_id(name) and (self.folder / name).is_dir()

    @staticmethod
    def is_id(name: str) -> bool:
        """Whether a session can have this name."""
        return _ID.fullmatch(name) is not None

    def find(self, unit: str) -> tuple[Listed, ...]:
        """The sessions of one unit, oldest first."""
        return tuple(s for s in self.sessions() if _bare(s.unit) == _bare(unit))

    def _ids(self) -> list[str]:
        if not self.folder.is_dir():
            return []
        return sorted(p.name for p in self.folder.iterdir() if self.is_id(p.name))

    def _new_folder(self, unit: str) -> tuple[str, Path]:
        moment = self._clock().astimezone(UTC).strftime("%Y%m%d-%H%M%S")
        while True:
            session = f"{moment}-unit{_slug(unit)}-{secrets.token_hex(2)}"
            folder = self.folder / session
            try:
                folder.mkdir(mode=0o700)
            except FileExistsError:
                continue
            sync_folder(self.folder)
            return session, folder


def _slug(unit: str) -> str:
    """Letters and digits only, so that no unit's name can lead out of the folder."""
    return re.sub(r"[^a-z0-9]", "", _bare(unit))[:24]


def _bare(unit: str) -> str:
    return unit.casefold().removeprefix("unit").strip()


def _listed(folder: Path) -> Listed:
    try:
        with (folder / JOURNAL).open("rb") as file:
            entry = decode(file.readline().rstrip(b"\n"))
        check_shape(entry)
    except (OSError, ValueError, RecordError) as error:
        return Listed(folder.name, folder, trouble=f"its first line can't be read: {error}")
    body = entry.body
    return Listed(
        folder.name,
        folder,
        entry.at,
        body.get("unit", ""),
        body.get("who", ""),
        body.get("profile", ""),
    )


def _belongs(entries: tuple[Entry, ...], folder: Path) -> None:
    check_shape(entries[0])
    body = entries[0].body
    if body.get("format", 0) > FORMAT:
        raise RecordError(
            f"Session {folder.name} was written by benchcall {body.get('software')}, which is "
            "newer than this one. Install that version to open it."
        )
    if body.get("session") != folder.name:
        raise RecordError(
            f"The journal in {folder.name} is that of session {body.get('session')}. Put it back "
            "into the folder of that name."
        )
