"""Hears one recording; what it gives depends on nothing but the recording and the way."""

from __future__ import annotations

import hashlib
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import Any, Protocol, runtime_checkable

from assistant.archive.way import opened
from assistant.errors import AudioError, HearingError
from assistant.jobs import Job
from assistant.record.body import reading_body

FORMAT = 1


@runtime_checkable
class Adapting(Protocol):
    """A recogniser that carries something from one utterance to the next."""

    def begin(self) -> None:
        """Start as if nothing had been heard yet."""


def rehear(path: str, audio: str, profile: str, ears: tuple[str, ...], way: str) -> dict[str, Any]:
    """The result for a recording whose bytes have the SHA-256 ``audio``, as plain JSON values.

    It is a session of its own, as in ``benchcall hear``, of which nothing is kept but the result.
    Raises AudioError when the recording can't be used or is another one by now, HearingError when
    this computer would hear it another way.
    """
    from assistant.audio.recording import read_blocks
    from assistant.audio.segments import utterances
    from assistant.open_assistant import open_assistant
    from assistant.record.store import Store

    trade, listeners, here = opened(profile, ears)
    if here.id != way:
        raise HearingError(
            f"This worker hears by {here.id}, the archive is heard by {way}: install the same "
            "benchcall, profile and models on every worker."
        )
    listeners.told()
    for ear in listeners:
        if isinstance(ear, Adapting):
            ear.begin()
    if file_hash(Path(path)) != audio:
        raise AudioError(f"{path} was changed meanwhile; start again to hear it as it is now.")
    told: list[str] = []
    heard = 0.0
    with tempfile.TemporaryDirectory(prefix="benchcall-") as folder:
        assistant = open_assistant(
            Store(Path(folder)),
            trade,
            ears=listeners,
            trusted=listeners.trusted,
            models=listeners.models,
            keep_audio=False,
        )
        for utterance in utterances(read_blocks(path), audio):
            assistant.hear(utterance)
            heard = utterance.end
            told += listeners.told()
        jobs = [_job(job) for job in assistant.jobs]
        assistant.close()
    return {
        "format": FORMAT,
        "audio": audio,
        "way": way,
        "heard_to": round(heard, 3),
        "jobs": jobs,
        "told": told,
    }


def file_hash(path: Path) -> str:
    """SHA-256 of a file's bytes. Raises AudioError when it can't be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise AudioError(
            f"{path} can't be read ({error.strerror}). Give yourself the right to read it; the "
            "others are heard all the same."
        ) from error


def _job(job: Job) -> dict[str, Any]:
    """One mower's: without the moments and names that differ from one hearing to the next."""
    session = job.record.session
    return {
        "unit": session.unit,
        "readings": [{"id": r.id, **reading_body(r)} for r in session.readings],
        "observations": [_without_moment(asdict(o)) for o in session.observations],
        "notes": [_without_moment(asdict(n)) for n in session.notes],
    }


def _without_moment(body: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in body.items() if key != "at"}
