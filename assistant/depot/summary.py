"""What one session comes to in the index, worked out from its journals."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant import __version__
from assistant.depot.listed import Outcome, SessionRow, attention_of
from assistant.depot.search import words_of
from assistant.diagnosis.causes import NO_FAULT, FaultModel, fault_model
from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.finding import Diagnosis
from assistant.diagnosis.measured import phase_of, taken_at_shift
from assistant.errors import BenchcallError, ProfileError, RecordError, UnknownNameError
from assistant.profile import Profile, load_profile, profile_ids
from assistant.record.chain import read_chain
from assistant.record.moment import parse_moment
from assistant.record.opening import profile_hash
from assistant.record.replay import replay
from assistant.record.session import Session
from assistant.record.store import JOURNAL, REVIEW
from assistant.report.verdicts import heaviest

PARTS = ("part_in",)
LABOUR = "labour_minutes"
COMPLAINT = "complaint"
CODES = ("fault_code", "fault_log")
_ID = re.compile(r"[a-z0-9_]+")


@dataclass(frozen=True, slots=True)
class Summary:
    """The rows of one session; ``readings`` and ``parts`` as their tables hold them. ``stamp``
    tells the files it was made of."""

    row: SessionRow
    readings: tuple[dict[str, Any], ...] = ()
    parts: tuple[tuple[str, str], ...] = ()
    words: frozenset[str] = frozenset()
    stamp: str = ""


def summary_of(folder: Path) -> Summary:
    """Never raises for what is wrong with a journal: the row says it. What stands whole before a
    damage is shown, and not judged."""
    session, trouble = read_whole(folder)
    if trouble:
        row = replace(_known(session, folder.name), chain="broken", trouble=trouble)
        return Summary(_weighed(row), words=words_of(row.unit, row.technician))
    try:
        profile, model = trade(session.profile, folder.parents[1])
        diagnosis = diagnose(session, profile, model)
    except (ProfileError, UnknownNameError) as error:
        row = replace(_known(session, folder.name), trouble=f"Not judged. {error}")
        return Summary(_weighed(row), words=_words(session, row))
    row = _judged(_known(session, folder.name), session, diagnosis)
    parts = tuple((o.id, o.value) for o in session.observations if o.item in PARTS)
    readings = tuple(_readings(session, diagnosis))
    return Summary(_weighed(row), readings, parts, _words(session, row))


def read_whole(folder: Path) -> tuple[Session, str]:
    """The session, and "" or what is wrong with its journals; then the session holds only what
    stands before the damage, and no review that does not fit."""
    try:
        data = (folder / JOURNAL).read_bytes()
    except OSError as error:
        return Session("", ""), f"Its journal can't be read ({error.strerror})."
    chain = read_chain(data)
    told = [_damage(JOURNAL, data)]
    session = Session("", "")
    if chain.entries:
        try:
            session = replay(chain.entries)
        except (BenchcallError, KeyError, TypeError, AttributeError) as error:
            told.append(f"Its entries can't be read: {error}")
        if session.id and session.id != folder.name:
            told.append(
                f"The journal is that of session {session.id}. Put it back into the folder of "
                "that name."
            )
    path = folder / REVIEW
    if path.exists() and not any(told):
        try:
            review = path.read_bytes()
            told.append(_damage(REVIEW, review))
            session = replay(chain.entries, read_chain(review).entries)
        except OSError as error:
            told.append(f"Its review can't be read ({error.strerror}).")
        except (BenchcallError, KeyError, TypeError, AttributeError) as error:
            told.append(str(error))
    return session, " ".join(why for why in told if why)


def _damage(name: str, data: bytes) -> str:
    try:
        read_chain(data).trusted(name)
    except RecordError as error:
        return str(error)
    return ""


@lru_cache(maxsize=8)
def trade(name: str, home: Path) -> tuple[Profile, FaultModel]:
    """The profile of a session by its id: a shipped one, else <home>/profiles/<id>.toml. A name
    in a journal from elsewhere is never taken for a path.

    Raises UnknownNameError or ProfileError.
    """
    own = home / "profiles" / f"{name}.toml"
    shipped = name in profile_ids()
    if not shipped and not (_ID.fullmatch(name) and own.is_file()):
        raise UnknownNameError(
            f"Its profile {name!r} is not here: put the file {name}.toml into {own.parent}."
        )
    profile = load_profile(name if shipped else str(own))
    return profile, fault_model(profile)


@lru_cache(maxsize=8)
def trade_key(name: str, home: Path) -> str:
    """What verdicts depend on besides the journals: when it changes, they are made anew."""
    try:
        return f"{__version__} {profile_hash(trade(name, home)[0])[:16]}"
    except BenchcallError:
        return __version__


def _known(session: Session, name: str) -> SessionRow:
    """What the journals say by themselves."""
    signed = session.signed
    said = [o for o in session.observations if o.status == "accepted"]
    return SessionRow(
        id=name,
        unit=session.unit,
        technician=session.who,
        profile=session.profile,
        opened=session.opened or _opened_by_name(name),
        closed=session.closed,
        head=session.head,
        signed_by=signed.who if signed else "",
        signed_at=signed.at if signed else "",
        signed_current=bool(signed and signed.current),
        readings=len(session.readings),
        questions=len(session.open_questions) + len(session.observations) - len(said),
        conflicts=len(session.conflicts),
        complaint=" ".join(o.value for o in said if o.item == COMPLAINT),
        parts=tuple(o.value for o in said if o.item in PARTS),
        minutes=_labour(session),
        lasted=_lasted(session),
    )


def _judged(row: SessionRow, session: Session, diagnosis: Diagnosis) -> SessionRow:
    left = sum(proof.outcome != "gone" for proof in diagnosis.repairs)
    flagged = sum(finding.flagged for finding in diagnosis.findings)
    repaired = bool(row.parts) or any(phase_of(r) == "after" for r in session.judged)
    outcome: Outcome = "clean"
    if diagnosis.proven:
        outcome = "proven"
    elif not session.judged and not session.observations:
        outcome = "unknown"
    elif repaired and (flagged or row.parts):
        outcome = "unproven"
    elif flagged:
        outcome = "faulty"
    top = diagnosis.causes[0] if diagnosis.causes else None
    named = top is not None and top.cause != NO_FAULT and flagged > 0
    return replace(
        row,
        out=flagged,
        unproven=(left or max(1, flagged)) if outcome == "unproven" else 0,
        cause=top.cause if top and named else "",
        cause_title=top.title if top and named else "",
        chance=round(top.probability, 4) if top and named else 0.0,
        outcome=outcome,
    )


def _weighed(row: SessionRow) -> SessionRow:
    return replace(row, attention=attention_of(row))


def _readings(session: Session, diagnosis: Diagnosis) -> list[dict[str, Any]]:
    beside = {name for name, shift in taken_at_shift(session).items() if shift != 0}
    return [
        {
            "entry": reading.id,
            "quantity": reading.quantity,
            "position": reading.position or "",
            "context": json.dumps(dict(sorted(reading.context.items()))),
            "at": reading.at,
            "value": reading.value,
            "number": float(reading.value),
            "over_wire": reading.id not in beside,
            "verdict": heaviest(f for f in diagnosis.findings if reading.id in f.about) or "",
        }
        for reading in session.judged
        if reading.value is not None
    ]


def _words(session: Session, row: SessionRow) -> frozenset[str]:
    """What a search finds a session by: complaint, notes, codes, parts, unit, initials, cause."""
    texts: list[str] = [row.unit, row.technician, row.complaint, row.cause_title, *row.parts]
    texts += [note.text for note in session.notes if note.understood]
    texts += [o.value for o in session.observations if o.item in CODES]
    return words_of(*texts)


def _labour(session: Session) -> float | None:
    said: Sequence[float] = [
        float(r.value) for r in session.judged if r.quantity == LABOUR and r.value is not None
    ]
    return sum(said) if said else None


def _lasted(session: Session) -> float | None:
    try:
        opened, closed = parse_moment(session.opened), parse_moment(session.closed or "")
    except ValueError:
        return None
    return round((closed - opened).total_seconds() / 60, 1)


def _opened_by_name(name: str) -> str:
    """From the session's id, where its journal can't say: 20261125-171305-unit14-3fa9."""
    d, t = name[:8], name[9:15]
    return f"{d[:4]}-{d[4:6]}-{d[6:]}T{t[:2]}:{t[2:4]}:{t[4:]}.000Z"
