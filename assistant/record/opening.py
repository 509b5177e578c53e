"""The first entry of a session: by what, with what and by whom its readings were taken."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import rfc8785

from assistant import __version__
from assistant.profile.schema import Profile

FORMAT = 1
"""Of the journal; a reader refuses a higher one."""


@dataclass(frozen=True, slots=True)
class Meter:
    """An instrument used; ``calibrated`` is the date of its calibration (RFC 3339 full-date), ""
    when unknown."""

    id: str
    calibrated: str = ""


def opening(
    session: str,
    profile: Profile,
    who: str = "",
    unit: str = "",
    models: Mapping[str, str] | None = None,
    meters: Iterable[Meter] = (),
) -> dict[str, Any]:
    """The body of "opened". ``models`` gives each recogniser's name and the SHA-256 of its model
    files, so that a reading can be traced to what heard it."""
    return {
        "format": FORMAT,
        "session": session,
        "software": __version__,
        "profile": profile.id,
        "profile_version": profile.profile.version,
        "profile_sha256": profile_hash(profile),
        "models": dict(models or {}),
        "meters": [{"id": meter.id, "calibrated": meter.calibrated} for meter in meters],
        "who": who,
        "unit": unit,
    }


def profile_hash(profile: Profile) -> str:
    """SHA-256 of the profile's content as canonical JSON: comments and layout don't change it."""
    return hashlib.sha256(rfc8785.dumps(profile.model_dump(mode="json"))).hexdigest()
