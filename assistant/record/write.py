"""What is entered for a settled statement: its kind of entry and the body."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from assistant.record.body import Body, observation_body, plain, reading_body
from assistant.record.entry import Kind
from assistant.record.session import Observation, Reading, Status
from assistant.settling.settled import Settled
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
)

Changes = Mapping[str, Mapping[str, Any]]
"""Entry id to the fields of that reading which an entry changes (never its value)."""

CHANGEABLE = frozenset({"quantity", "position", "context", "status", "missing", "doubts"})


def entry_for(
    settled: Settled,
    unit: str = "",
    source: str = "",
    audio: str | None = None,
    replaces: str | None = None,
    changes: Changes | None = None,
) -> tuple[Kind, Body]:
    """The entry for ``settled``.

    ``unit`` is the quantity's UCUM code, for a reading whose unit wasn't said. ``replaces`` is
    the id that this corrects or answers (default: ``settled.answers``). ``changes`` are the
    readings whose context or status this statement puts right, all of them in this one entry so
    that a crash can't leave half of them changed. A statement that settled to nothing is kept as
    words that were not understood.
    """
    kind, body = _entry(settled, unit, replaces, changes)
    said = settled.statement
    if source:
        body |= {"source": source, "start": round(said.start, 3), "end": round(said.end, 3)}
    if audio is not None:
        body["audio"] = audio
    return kind, body


def _entry(
    settled: Settled, unit: str, replaces: str | None, changes: Changes | None
) -> tuple[Kind, Body]:
    said = settled.statement
    replaced = replaces if replaces is not None else settled.answers
    if settled.status == "nothing" or (isinstance(said, ReadingSaid) and said.quantity is None):
        return "not_understood", _words(said.heard, "; ".join(settled.doubts))
    status: Status = "asked" if settled.status == "asked" else "accepted"
    match said:
        case ReadingSaid():
            reading = Reading(
                id="",
                quantity=said.quantity or "",
                position=said.position,
                value=said.value.number,
                state=said.value.state,
                unit=said.unit or unit,
                context=dict(settled.context),
                status=status,
                missing=settled.missing,
                doubts=settled.doubts,
                confidence=settled.confidence,
                heard=said.heard,
                ears=dict(settled.heard),
                says=dict(settled.says),
                start=said.start,
                end=said.end,
                replaces=replaced,
            )
            return "reading", reading_body(reading)
        case ObservationSaid():
            seen = Observation("", said.item, said.value, said.heard, replaced, status=status)
            return "observation", observation_body(seen)
        case ContextSaid():
            body = {"key": said.key, "value": said.value, "heard": plain(said.heard)}
            return "context", body | _changed(changes)
        case CommandSaid():
            argument = plain(said.argument)
            body = {"command": said.command, "argument": argument, "heard": plain(said.heard)}
            return "command", body | _changed(changes)
        case NoteSaid():
            return "note", {"text": plain(said.text), "heard": plain(said.heard)}
        case NotUnderstood():
            return "not_understood", _words(said.heard, said.reason)


def lapse(keys: Iterable[str], reason: str) -> list[tuple[Kind, Body]]:
    """Entries that end running contexts (mower moved, part swapped, a long gap)."""
    return [("context", {"key": key, "value": None, "reason": reason}) for key in keys]


def withdrawal(entry_id: str, heard: str = "") -> tuple[Kind, Body]:
    """The entry that withdraws another; what it withdraws stays in the journal."""
    return "withdrawal", {"entry": entry_id, "heard": plain(heard)}


def _words(heard: str, reason: str) -> Body:
    return {"text": plain(heard), "reason": plain(reason)}


def _changed(changes: Changes | None) -> Body:
    if not changes:
        return {}
    for fields in changes.values():
        unknown = fields.keys() - CHANGEABLE
        if unknown:
            raise ValueError(f"a value changes only by a reading that replaces it: {unknown}")
    return {
        "changes": {
            entry_id: {k: list(v) if isinstance(v, tuple) else v for k, v in fields.items()}
            for entry_id, fields in changes.items()
        }
    }
