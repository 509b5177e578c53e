"""What a supervisor does to a session: correct, withdraw, comment, sign off.

All of it goes into the review journal. Whoever writes holds the index's writing lock, which on
PostgreSQL keeps out other computers too, and reads the journals again once it has it: of two who
correct one reading at the same time the first wins, and the second is told what took its place.
Supervisors at several computers need one shared folder of sessions beside their one database.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.exc import SQLAlchemyError

from assistant.depot.database import Depot, why
from assistant.depot.one_session import state_of
from assistant.depot.refresh import enter, summarise
from assistant.depot.summary import trade
from assistant.errors import ConflictError, ProfileError, RecordError, UnknownNameError
from assistant.record.review import Review
from assistant.record.session import Observation, Reading, Session

_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def correct(
    depot: Depot, name: str, entry_id: str, who: str, reason: str, **fields: Any
) -> Session:
    """Put a reading or an observation right, or answer an open question about it: ``fields`` are
    those of ``Reading`` or ``Observation`` that change. A reading's ``value`` is a decimal number
    as text, or None beside a ``state`` of "no_reading" or "off_scale"; ``context`` adds to the
    one it has, and what it answers is missing no more; with ``missing`` given beside it, it is the
    whole context. Gives the session as it then stands.

    Raises ConflictError when another correction took the entry's place first, UnknownNameError
    when the session has no such entry, RecordError when the reason is missing, the value is no
    number, or nothing can be written.
    """
    with _reviewing(depot, name, who) as review:
        old = _current(review, entry_id)
        if isinstance(old, Reading):
            fields = _reading_fields(depot, review.session.profile, old, fields)
        return review.correct(entry_id, reason, **fields)


def withdraw(depot: Depot, name: str, entry_id: str, who: str, reason: str) -> Session:
    """Take a reading or an observation out of the session; raises as ``correct`` does."""
    with _reviewing(depot, name, who) as review:
        _current(review, entry_id)
        return review.withdraw(entry_id, reason)


def comment(depot: Depot, name: str, who: str, text: str) -> Session:
    """A note in the supervisor's name. Raises RecordError when it is empty."""
    if not text.strip():
        raise RecordError("Nothing was written; write the note, then send it.")
    with _reviewing(depot, name, who) as review:
        return review.comment(text.strip())


def sign_off(depot: Depot, name: str, who: str, state: str) -> str:
    """Sign what was seen: ``state`` is ``OneSession.state`` of what was shown. Gives the short
    head, to be noted elsewhere.

    Raises ConflictError when something was entered since then.
    """
    with _reviewing(depot, name, who) as review:
        if state != state_of(depot.store.folder / name):
            raise ConflictError(
                "Not signed: something was entered since this page was opened. Look at the "
                "session again, then sign."
            )
        return review.sign_off()


@contextmanager
def _reviewing(depot: Depot, name: str, who: str) -> Iterator[Review]:
    """The review, alone; its index row is made again in the same transaction."""
    if name not in depot.store:
        raise UnknownNameError(f"There is no session {name!r}. Look for it in the list.")
    with depot.writing() as connection:
        with depot.store.review(name, who) as review:
            yield review
        try:
            enter(connection, [summarise(depot, name)])
        except SQLAlchemyError as error:
            raise RecordError(
                "What you entered is recorded, but the list could not be brought up to date "
                f"({why(error)}). Do not enter it again; see to the index's database."
            ) from error


def _current(review: Review, entry_id: str) -> Reading | Observation | None:
    """The entry, None where the session has none. Raises ConflictError where something took its
    place."""
    session = review.session
    items = {item.id: item for item in session.standing}
    taken = session.replaced_by.get(entry_id)
    if taken is None or entry_id in items:
        return items.get(entry_id)
    new = items.get(taken)
    by = f" by {new.by}" if new is not None and new.by else ""
    now = f" and reads {new.value}" if new is not None and new.value else ""
    raise ConflictError(
        f"Nothing was changed: entry {taken}{by} has taken the place of entry {entry_id}{now}. "
        "Look at the session again, and correct that one if it is still wrong."
    )


def _reading_fields(
    depot: Depot, profile_id: str, old: Reading, fields: dict[str, Any]
) -> dict[str, Any]:
    """The fields made whole: state and value agree, and what was missing and is now said decides
    which quantity it is."""
    fields = dict(fields)
    value = fields.get("value", old.value)
    state = fields.get("state", "value" if fields.get("value") else old.state)
    if state not in ("value", "no_reading", "off_scale"):
        raise RecordError(
            f"{state!r} is no state of a reading. Give value, no_reading or off_scale."
        )
    if state == "value" and (value is None or not _NUMBER.fullmatch(value)):
        raise RecordError(f"{value!r} is no number. Write digits, such as -12.50.")
    fields |= {"state": state, "value": value if state == "value" else None}
    if "context" in fields and "missing" not in fields:
        context = {**old.context, **fields["context"]}
        missing = tuple(key for key in old.missing if key not in context)
        fields |= {"context": context, "missing": missing}
        fields.setdefault("quantity", _decided(depot, profile_id, old.quantity, context))
    return fields


def _decided(depot: Depot, profile_id: str, quantity: str, context: dict[str, str]) -> str:
    try:
        profile, _ = trade(profile_id, depot.store.home)
    except (ProfileError, UnknownNameError):
        return quantity
    known = next((q for q in profile.quantity if q.id == quantity), None)
    if known is None or known.decided_by is None:
        return quantity
    return known.members.get(context.get(known.decided_by, ""), quantity)
