"""The bodies of entries: a reading, an observation or a note as JSON values, and back.

A reading's body is the JSON object that ``--json`` prints, without the four keys that its entry
gives (kind, id, session, at). Keys that a reader doesn't know are ignored.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assistant.record.entry import Entry
from assistant.record.session import Note, Observation, Reading

Body = dict[str, Any]


def reading_body(reading: Reading) -> Body:
    """``value`` stays the decimal string that was said; times to the millisecond."""
    body: Body = {
        "source": reading.source,
        "start": round(reading.start, 3),
        "end": round(reading.end, 3),
        "quantity": reading.quantity,
        "position": reading.position,
        "value": reading.value,
        "state": reading.state,
        "unit": reading.unit,
        "context": dict(reading.context),
        "status": reading.status,
        "missing": list(reading.missing),
        "confidence": round(reading.confidence, 4),
        "heard": plain(reading.heard),
        "replaces": reading.replaces,
    }
    if reading.doubts:
        body["doubts"] = [plain(doubt) for doubt in reading.doubts]
    if reading.ears:
        body["ears"] = {ear: plain(words) for ear, words in reading.ears.items()}
    if reading.says:
        body["says"] = dict(reading.says)
    if reading.audio is not None:
        body["audio"] = reading.audio
    return body


def reading_json(reading: Reading, session: str) -> Body:
    """One line of ``--json``: the body with the keys that its entry gives, and a supervisor's
    name and reason where there are any."""
    signed = {k: v for k, v in (("by", reading.by), ("reason", reading.reason)) if v}
    return {
        "kind": "reading",
        "id": reading.id,
        "session": session,
        "at": reading.at,
        **reading_body(reading),
        **signed,
    }


def reading_of(entry_id: str, at: str, body: Mapping[str, Any]) -> Reading:
    """``body`` has the shape that ``shape.py`` asks for."""
    get = body.get
    return Reading(
        id=entry_id,
        quantity=body["quantity"],
        position=body["position"],
        value=body["value"],
        state=body["state"],
        unit=body["unit"],
        context=body["context"],
        status=body["status"],
        missing=tuple(body["missing"]),
        doubts=tuple(get("doubts", ())),
        confidence=get("confidence", 0.0),
        heard=get("heard", ""),
        ears=get("ears", {}),
        says=get("says", {}),
        source=get("source", ""),
        start=get("start", 0.0),
        end=get("end", 0.0),
        replaces=get("replaces"),
        at=at,
        audio=get("audio"),
        by=get("by", ""),
        reason=get("reason", ""),
    )


def observation_body(observation: Observation) -> Body:
    return {
        "item": observation.item,
        "value": plain(observation.value),
        "heard": plain(observation.heard),
        "replaces": observation.replaces,
        "status": observation.status,
    }


def observation_of(entry_id: str, at: str, body: Mapping[str, Any]) -> Observation:
    """``body`` has the shape that ``shape.py`` asks for."""
    return Observation(
        id=entry_id,
        item=body["item"],
        value=body["value"],
        heard=body.get("heard", ""),
        replaces=body.get("replaces"),
        at=at,
        status=body.get("status", "accepted"),
        by=body.get("by", ""),
        reason=body.get("reason", ""),
    )


def note_of(entry: Entry, entry_id: str) -> Note:
    """A spoken note, a supervisor's comment, or words that were not understood."""
    return Note(
        id=entry_id,
        text=entry.body.get("text", ""),
        understood=entry.kind == "note",
        at=entry.at,
        by=entry.body.get("by", ""),
    )


def plain(text: str) -> str:
    """``text`` with what UTF-8 can't hold (bytes of another encoding) written as escapes."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
