"""Going on in a session: one that broke off, and one in which something could not be recorded.

A failed write is never tried again as if nothing had happened: the record is opened anew, verified
from its first byte and compared with what was acknowledged, and what was said must be said again.
Everything here gives what is said about it.
"""

from __future__ import annotations

from assistant.conversation import lapsing
from assistant.errors import RecordError
from assistant.jobs import Jobs
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.record.session_record import SessionRecord
from assistant.speaking.advice import spoken_sentence
from assistant.speaking.readback import read_back
from assistant.speaking.reply import Reply


def take_up(record: SessionRecord, jobs: Jobs, profile: Profile) -> tuple[Reply, ...]:
    """A session that broke off goes on. Meanwhile the mower may have been moved: a context that
    lapses by time has lapsed."""
    jobs.take_up(record)
    if not record.session.closed:
        record.lapse(*lapsing(profile), reason="the session broke off")
    session = record.session
    count = len(session.readings)
    shown = f"unit {session.unit}: " if session.unit else ""
    shown += f"{count} reading{'' if count == 1 else 's'} so far"
    if session.open_questions:
        shown += f", {len(session.open_questions)} still open"
    told = (Reply(line, "") for line in record.told)
    return (*told, Reply(shown, spoken_sentence(shown)), *_last(session, profile))


def recover(error: RecordError, jobs: Jobs, profile: Profile) -> tuple[Reply, ...]:
    """After ``error``: the record of the job at the bench is opened again; where that fails, and
    until it succeeds, nothing is recorded, which is said."""
    try:
        checked = open_again(jobs, profile)
    except RecordError as still:
        shown = f"{still} Nothing is taken down until then."
        return (Reply(shown, "not recorded. stop, and see to the disk", "out"),)
    again = Reply("Say again what was not read back.", "say again", "asked")
    return (Reply(str(error), "not recorded", "out"), *checked, again)


def open_again(jobs: Jobs, profile: Profile) -> tuple[Reply, ...]:
    """The record can be written again. Raises RecordError where it can't."""
    jobs.reopen()
    if not jobs.is_open:
        return ()
    shown = "The record was opened again and checked: all that was read back is in it."
    last = _last(jobs.current.record.session, profile)
    return (Reply(shown, "the record is open again and checked"), *last)


def _last(session: Session, profile: Profile) -> tuple[Reply, ...]:
    """The last reading in the record, so that both know where to go on."""
    if not session.readings:
        return ()
    [last] = read_back(session.readings[-1:], profile)
    return (Reply(f"the last one: {last.shown}", f"last, {last.spoken}", about=last.about),)
