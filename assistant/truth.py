"""Recordings whose words are known (demo_audio), and how what was heard compares with them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from assistant.errors import AudioError
from assistant.record.session import Reading


class Outcome(StrEnum):
    """What became of one value at first say. ``ASKED`` are also those that wait for a context
    which was not heard; only ``WRONG`` and ``INVENTED`` are in the record and false. A context
    that is not in the record, and not needed to judge the value, makes nothing false."""

    RIGHT = "right"
    ASKED = "asked"
    MISSED = "missed"
    WRONG = "wrong"
    INVENTED = "invented"


@dataclass(frozen=True, slots=True)
class KnownUtterance:
    """What is said from ``start`` to ``end`` (s): the words and the readings they mean."""

    words: str
    start: float
    end: float
    readings: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True, slots=True)
class KnownRecording:
    """``verify_only``: for counting how well ears hear, too long for the demo."""

    path: Path
    utterances: tuple[KnownUtterance, ...]
    verify_only: bool = False


@dataclass(frozen=True, slots=True)
class KnownSession:
    """A folder of demo_audio: one mower's recordings in the order they were made."""

    name: str
    unit: str
    who: str
    story: str
    recordings: tuple[KnownRecording, ...]

    @property
    def utterances(self) -> tuple[KnownUtterance, ...]:
        return tuple(known for recording in self.recordings for known in recording.utterances)


@dataclass(frozen=True, slots=True)
class Compared:
    """One value's outcome: what was said, and what stands in the record (None: nothing)."""

    outcome: Outcome
    words: str
    wanted: Mapping[str, Any] | None
    got: Reading | None


def known_sessions(folder: Path) -> tuple[KnownSession, ...]:
    """Every session of ``folder`` that has a truth.json; raises AudioError where there is none."""
    found = tuple(_session(path) for path in sorted(folder.glob("*/truth.json")))
    if not found:
        raise AudioError(
            f"There are no recordings with a truth.json in {folder}. Name another folder."
        )
    return found


def compare(recording: KnownRecording, got: Sequence[Reading]) -> list[Compared]:
    """Each value said in ``recording`` with what became of it at first say, then whatever the
    record holds that nobody said. ``got`` are the readings entered from this recording."""
    left = list(got)
    found = []
    for known in recording.utterances:
        here = [r for r in left if known.start - 0.5 <= (r.start + r.end) / 2 <= known.end + 0.5]
        for wanted in known.readings:
            match = _best(wanted, here)
            if match is not None:
                here.remove(match)
                left.remove(match)
            found.append(Compared(_outcome(wanted, match), known.words, wanted, match))
    found += [
        Compared(Outcome.INVENTED, "", None, reading)
        for reading in left
        if reading.status == "accepted"
    ]
    return found


def _best(wanted: Mapping[str, Any], here: Iterable[Reading]) -> Reading | None:
    """The reading of this label, else any reading of the utterance: it stands in its place."""
    label = (wanted["quantity"], wanted["position"])
    return min(here, key=lambda r: (r.quantity, r.position) != label, default=None)


def _outcome(wanted: Mapping[str, Any], got: Reading | None) -> Outcome:
    if got is None:
        return Outcome.MISSED
    if got.status == "asked" or set(got.missing) > set(wanted["missing"]):
        return Outcome.ASKED
    told = ("quantity", "position", "value", "state", "unit")
    same = all(wanted[key] == getattr(got, key) for key in told)
    true = got.context.items() <= wanted["context"].items()
    return Outcome.RIGHT if same and true else Outcome.WRONG


def _session(path: Path) -> KnownSession:
    told = json.loads(path.read_text("utf-8"))
    recordings = tuple(
        KnownRecording(
            path.parent / file["file"],
            tuple(
                KnownUtterance(u["words"], u["start"], u["end"], tuple(u["readings"]))
                for u in file["utterances"]
            ),
            file.get("verify_only", False),
        )
        for file in told["files"]
    )
    return KnownSession(path.parent.name, told["unit"], told["who"], told["story"], recordings)
