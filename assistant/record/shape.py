"""What the body of an entry must look like before anything is made of it.

A journal may come from another depot's stick. An entry that is sealed but of another shape was
written by a newer version, or by hand: it is told, and never breaks whoever reads the session.
Keys that a reader doesn't know are ignored.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from assistant.errors import RecordError
from assistant.record.entry import Entry

Decimals = Annotated[str, Field(pattern=r"^-?[0-9]{1,15}(\.[0-9]{1,15})?$")]
Status = Literal["accepted", "asked"]


class _Change(BaseModel):
    model_config = ConfigDict(strict=True, extra="ignore")

    quantity: str = ""
    position: str | None = None
    context: dict[str, str] = {}
    status: Status = "asked"
    missing: list[str] = []
    doubts: list[str] = []


class _Shape(BaseModel):
    model_config = ConfigDict(strict=True, extra="ignore")

    changes: dict[str, _Change] = {}


class _Opened(_Shape):
    session: str = ""
    profile: str = ""
    who: str = ""
    unit: str = ""
    format: int = 0


class _Reading(_Shape):
    quantity: str
    position: str | None
    value: Decimals | None
    state: Literal["value", "no_reading", "off_scale"]
    unit: str
    context: dict[str, str]
    status: Status
    missing: list[str]
    doubts: list[str] = []
    confidence: float = 0.0
    heard: str = ""
    ears: dict[str, str] = {}
    says: dict[str, str] = {}
    source: str = ""
    start: float = 0.0
    end: float = 0.0
    replaces: str | None = None
    audio: str | None = None
    by: str = ""
    reason: str = ""
    cites: str | None = None


class _Observation(_Shape):
    item: str
    value: str
    heard: str = ""
    replaces: str | None = None
    status: Status = "accepted"
    by: str = ""
    reason: str = ""
    cites: str | None = None


class _Words(_Shape):
    text: str = ""
    reason: str = ""
    by: str = ""
    entry: str | None = None
    cites: str | None = None


class _Context(_Shape):
    key: str
    value: str | None


class _Withdrawal(_Shape):
    entry: str
    reason: str = ""
    by: str = ""
    cites: str | None = None


class _SignedOff(_Shape):
    cites: str
    by: str


_SHAPES: dict[str, type[_Shape]] = {
    "opened": _Opened,
    "reading": _Reading,
    "observation": _Observation,
    "context": _Context,
    "command": _Shape,
    "note": _Words,
    "not_understood": _Words,
    "withdrawal": _Withdrawal,
    "signed_off": _SignedOff,
    "closed": _Shape,
}


def check_shape(entry: Entry) -> None:
    """Raises RecordError for an entry whose body this version can't read."""
    try:
        shape = _SHAPES[entry.kind].model_validate(dict(entry.body))
    except ValidationError as error:
        wrong = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(map(str, wrong["loc"]))
        raise strange(entry.id, entry.kind, f"{place}: {wrong['msg']}") from error
    if isinstance(shape, _Reading) and (shape.value is None) == (shape.state == "value"):
        raise strange(entry.id, entry.kind, "its value and its state contradict each other")


def strange(entry_id: str, kind: str, why: str) -> RecordError:
    return RecordError(
        f"Entry {entry_id} is no {kind} that this version can read ({why}). Install the version "
        "of benchcall that wrote the session (its first line names it), or a newer one."
    )
