"""Correct one entry, answer its question, or withdraw it, always with a reason."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from assistant.depot.one_session import OneSession, one_session
from assistant.depot.supervise import correct, withdraw
from assistant.errors import RecordError
from assistant.profile.schema import Profile, Quantity
from assistant.record.session import Observation, Reading
from assistant.review.desk import desk_of
from assistant.review.hand import hand
from assistant.review.lived import moments
from assistant.review.rendering import page
from assistant.review.tabs import Tab
from assistant.speaking.label import quantity_of, shown_label

STATES = {"value": "a value", "no_reading": "no reading", "off_scale": "off scale"}
_NUMBER = re.compile(r"[-−]?[0-9]{1,9}([.,][0-9]{1,6})?")
_LONGEST = 2000
HINTED = frozenset({"context", "one_ear", "unverified"})
"""Doubts that leave the number itself beyond doubt: it may stand in the field already."""


def form(request: Request) -> Response:
    told, item = _about(request)
    profile = told.profile
    assert profile is not None
    assert told.report is not None
    moment = next(m for m in moments(told.report, told.folder) if m.id == item.id)
    labels = _labels(profile) if isinstance(item, Reading) else {}
    label = _label_id(item) if isinstance(item, Reading) else ""
    return page(
        request,
        "entry.html.jinja",
        session=told.session,
        item=item,
        moment=moment,
        reading=isinstance(item, Reading),
        labels=list(labels.items()),
        label=label if label in labels else "",
        value=_first_value(item),
        states=STATES,
        contexts=_contexts(item, profile) if isinstance(item, Reading) else (),
        choices=_choices(item, profile) if isinstance(item, Observation) else (),
    )


def change(request: Request) -> Response:
    """Correct, or answer: the same entry in the review."""
    told, item = _about(request)
    sent = request.state.form
    assert told.profile is not None
    if isinstance(item, Reading):
        fields = reading_fields(sent, told.profile)
    else:
        fields = {"value": _text(sent, "value", "what was seen")}
    reason = _text(sent, "reason", "the reason")
    name = told.session.id
    new = correct(desk_of(request).depot, name, item.id, hand(request), reason, **fields)
    return RedirectResponse(f"/sessions/{name}?done=corrected#e{new.replaced_by[item.id]}", 303)


def take_out(request: Request) -> Response:
    told, item = _about(request)
    reason = _text(request.state.form, "reason", "the reason")
    withdraw(desk_of(request).depot, told.session.id, item.id, hand(request), reason)
    return RedirectResponse(f"/sessions/{told.session.id}?done=withdrawn#e{item.id}", 303)


def reading_fields(sent: Mapping[str, str], profile: Profile) -> dict[str, Any]:
    """What the form says of a reading. Raises RecordError saying which field won't do."""
    label = sent.get("label", "")
    if label not in _labels(profile):
        raise RecordError("Nothing was changed: choose which reading it is.")
    quantity, _, position = label.partition("@")
    state = sent.get("state", "")
    if state not in STATES:
        raise RecordError("Nothing was changed: say whether it was a value.")
    value = None
    if state == "value":
        typed = sent.get("value", "").strip()
        if _NUMBER.fullmatch(typed) is None:
            raise RecordError(
                "Nothing was changed: write the value in figures, such as -65 or 12.50."
            )
        value = typed.replace("−", "-").replace(",", ".")
    context = {}
    for key in profile.context:
        chosen = sent.get(f"context.{key.id}", "")
        if chosen in {v.id for v in key.value}:
            context[key.id] = chosen
        elif chosen:
            raise RecordError(
                f"Nothing was changed: {key.title} can't be {chosen!r}. Choose one of the page's."
            )
    return {
        "quantity": quantity,
        "position": position or None,
        "state": state,
        "value": value,
        "unit": _quantity(profile, quantity).unit,
        "context": context,
        "missing": _missing(_quantity(profile, quantity), context),
        "doubts": (),
    }


def _missing(quantity: Quantity, context: Mapping[str, str]) -> tuple[str, ...]:
    """What the number still can't be judged without; then it stays an open question."""
    decided = (quantity.decided_by,) if quantity.decided_by else ()
    return tuple(key for key in (*decided, *quantity.needs) if key not in context)


def _about(request: Request) -> tuple[OneSession, Reading | Observation]:
    told = one_session(desk_of(request).depot, request.path_params["id"])
    if told.profile is None or told.report is None:
        raise RecordError(f"This session can't be changed: {told.row.trouble}")
    wanted = request.path_params["entry"]
    for item in told.session.standing:
        if item.id == wanted:
            return told, item
    if taken := told.session.replaced_by.get(wanted):
        raise RecordError(
            f"Entry {wanted} was changed meanwhile: entry {taken} took its place. Look at the "
            "session again, and correct that one if it is still wrong."
        )
    raise HTTPException(404)


def _text(sent: Mapping[str, str], name: str, what: str) -> str:
    text = " ".join(sent.get(name, "").split())
    if not text:
        raise RecordError(f"Nothing was changed: write {what}.")
    if len(text) > _LONGEST:
        raise RecordError(f"Nothing was changed: shorten {what} to {_LONGEST} letters.")
    return text


def _labels(profile: Profile) -> dict[str, str]:
    """Every label a reading may have: ``quantity@position`` to its words."""
    return {
        f"{q.id}@{position}" if position else q.id: shown_label(profile, q.id, position)
        for q in profile.quantity
        for position in q.positions or (None,)
    }


def _label_id(reading: Reading) -> str:
    return f"{reading.quantity}@{reading.position}" if reading.position else reading.quantity


def _quantity(profile: Profile, name: str) -> Quantity:
    found = quantity_of(profile, name)
    assert found is not None
    return found


def _first_value(item: Reading | Observation) -> str:
    """A number in doubt isn't offered: a value read out first leads a tired listener to say yes."""
    doubtful = isinstance(item, Reading) and not set(item.doubts) <= HINTED
    return "" if doubtful else item.value or ""


def _contexts(
    reading: Reading, profile: Profile
) -> list[tuple[str, str, str, list[tuple[str, str]]]]:
    """Each context that the reading has or may need: id, title, what holds, what may."""
    quantity = quantity_of(profile, reading.quantity)
    needs = {*(quantity.needs if quantity else ()), *reading.missing, *reading.context, "repair"}
    needs -= {q.decided_by for q in profile.quantity}  # the label says it
    return [
        (
            key.id,
            key.title,
            reading.context.get(key.id, ""),
            [(v.id, v.spoken[0]) for v in key.value],
        )
        for key in profile.context
        if key.id in needs
    ]


def _choices(item: Observation, profile: Profile) -> list[tuple[str, str]]:
    of = next((o for o in profile.observation if o.id == item.item), None)
    return [(c.id, c.spoken[0]) for c in of.choice] if of else []


TAB = Tab(
    "",
    "",
    [
        Route("/sessions/{id}/entries/{entry}", form),
        Route("/sessions/{id}/entries/{entry}", change, methods=["POST"]),
        Route("/sessions/{id}/entries/{entry}/withdrawal", take_out, methods=["POST"]),
    ],
)
