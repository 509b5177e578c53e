"""One session, read from its journals: the index only says which it is."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from assistant.depot.database import Depot
from assistant.depot.listed import SessionRow
from assistant.depot.listing import COLUMNS, row_of
from assistant.depot.refresh import refresh_one
from assistant.depot.summary import read_whole, trade
from assistant.depot.tables import sessions
from assistant.diagnosis.diagnose import diagnose
from assistant.errors import ProfileError, RecordError, UnknownNameError
from assistant.profile import Profile
from assistant.record.journal import read_journal
from assistant.record.session import Session
from assistant.record.store import JOURNAL, REVIEW
from assistant.report.contents import Report, report_of


@dataclass(frozen=True, slots=True)
class OneSession:
    """``session`` is what its journals tell; where ``whole`` is False, what stands before the
    damage, and ``row.trouble`` says what is wrong. ``report`` is None where nothing can be
    judged. ``state`` stands for both journals as they were read: whoever signs names it.
    """

    row: SessionRow
    session: Session
    profile: Profile | None
    report: Report | None
    whole: bool
    state: str
    folder: Path


def one_session(depot: Depot, name: str) -> OneSession:
    """The session of this id, as it is on the disk now; its row in the index is brought up to
    date. Raises UnknownNameError for an id that neither the index nor the disk has."""
    folder = depot.store.folder / name
    if name not in depot.store:
        row = _remembered(depot, name)
        return OneSession(row, Session(row.id, row.profile), None, None, False, "", folder)
    row = refresh_one(depot, name)
    state = state_of(folder)
    session, trouble = read_whole(folder)
    try:
        profile, model = trade(session.profile, depot.store.home)
    except (ProfileError, UnknownNameError):
        return OneSession(row, session, None, None, not trouble, state, folder)
    report = report_of(session, profile, diagnose(session, profile, model))
    return OneSession(row, session, profile, report, not trouble, state, folder)


def state_of(folder: Path) -> str:
    """The heads of journal and review, "" where they can't be trusted. A review that was opened
    and nothing more says nothing."""
    try:
        heads = [read_journal(folder / JOURNAL)[-1].sha256]
        if (folder / REVIEW).exists() and len(review := read_journal(folder / REVIEW)) > 1:
            heads.append(review[-1].sha256)
    except RecordError:
        return ""
    return "-".join(head[:16] for head in heads)


def _remembered(depot: Depot, name: str) -> SessionRow:
    with depot.reading() as connection:
        row = connection.execute(select(*COLUMNS).where(sessions.c.id == name)).first()
    if row is None:
        raise UnknownNameError(f"There is no session {name!r}. Look for it in the list.")
    return row_of(row)
