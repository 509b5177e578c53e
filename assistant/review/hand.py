"""Whose hand makes a change: the named user, or the initials that were given once."""

from __future__ import annotations

from starlette.requests import Request

from assistant.errors import RecordError
from assistant.review.visitors import Visitor

LONGEST = 40


def hand(request: Request) -> str:
    """The name under a change. Raises RecordError when none was given."""
    visitor: Visitor = request.state.visitor
    given = " ".join(request.state.form.get("who", "").split())
    if not visitor.named and given:
        if len(given) > LONGEST:
            raise RecordError(f"A name has up to {LONGEST} letters; give your initials.")
        visitor.who = given
    if not visitor.who:
        raise RecordError(
            "Nothing was changed: a change needs your initials. Go back, give them and send it "
            "again."
        )
    return visitor.who
