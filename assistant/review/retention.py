"""Applies the depot's rule on sound: erases recordings, and keeps their hashes in the record."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from assistant.depot.summary import read_whole, trade
from assistant.diagnosis.diagnose import diagnose
from assistant.errors import BenchcallError
from assistant.record.audio import AudioFolder
from assistant.record.journal import Clock
from assistant.record.moment import now
from assistant.record.session import Reading, Session
from assistant.record.store import Store
from assistant.review.settings import FILE, Sound
from assistant.review.words import counted


def erase_due(store: Store, rule: Sound, clock: Clock = now) -> Iterator[str]:
    """Erases what is due, session by session; gives what was done in words.

    A session that is open, damaged or can't be judged keeps its sound where the rule depends on
    what it holds; that is told too.
    """
    if rule.keep == "always":
        yield (
            f"Nothing was erased: this depot's rule is that {rule.words}. Another is set in "
            f"{store.home / FILE}."
        )
        return
    before = clock() - timedelta(days=rule.days)
    erased = sessions = 0
    for name in store.names():
        folder = store.folder / name
        if not any((folder / "audio").glob("*.wav")):
            continue
        try:
            due = _due(folder, store.home, rule, before)
        except BenchcallError as error:
            yield f"{name}: its sound was kept: {error}"
            continue
        audio = AudioFolder(folder / "audio")
        gone = sum(audio.erase(sound, f"rule of this depot: {rule.words}") for sound in due)
        erased, sessions = erased + gone, sessions + bool(gone)
    yield (
        f"Recordings erased: {erased}, in {counted(sessions, 'session')}; their hashes stay in "
        f"the records. The rule: {rule.words}."
    )


def _due(folder: Path, home: Path, rule: Sound, before: datetime) -> set[str]:
    """The recordings of one session whose time is over."""
    session, trouble = read_whole(folder)
    if _opened(folder.name) >= before:
        return set()
    if session.closed is None and not trouble:
        return set()
    there = {path.stem for path in (folder / "audio").glob("*.wav")}
    if rule.keep == "days":
        return there
    if trouble:
        raise BenchcallError(trouble)
    return there - _relied_on(session, home)


def _opened(name: str) -> datetime:
    """When a session was opened, from its id: a damaged journal may not say it."""
    return datetime.strptime(name[:15], "%Y%m%d-%H%M%S").replace(tzinfo=UTC)


def _relied_on(session: Session, home: Path) -> set[str]:
    """The sounds that a finding, an open question or a correction rests on."""
    profile, model = trade(session.profile, home)
    flagged = {i for f in diagnose(session, profile, model).findings if f.flagged for i in f.about}
    questions = {reading.id for reading in session.open_questions}
    kept = {
        reading.audio
        for reading in session.readings
        if reading.by or reading.id in flagged | questions
    }
    kept |= {old.audio for old in session.superseded if isinstance(old, Reading)}
    return {sound for sound in kept if sound}
