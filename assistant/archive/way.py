"""By what a recording was heard: software, profile, recognisers. Two hearings by one way of one
recording are the same, so the way and the recording's hash together name the result."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

import rfc8785

from assistant import __version__
from assistant.hearing.ears import Ears, open_ears
from assistant.profile import Profile, load_profile, load_spoken
from assistant.record.opening import profile_hash


@dataclass(frozen=True, slots=True)
class Way:
    """``ears`` holds each recogniser, in order of waking, and the SHA-256 of its model."""

    software: str
    profile: str
    profile_sha256: str
    ears: tuple[tuple[str, str], ...]

    @property
    def id(self) -> str:
        """The software's version and twelve hex digits for all the rest."""
        sealed = hashlib.sha256(rfc8785.dumps(self.document())).hexdigest()
        return f"{self.software}-{sealed[:12]}"

    def document(self) -> dict[str, Any]:
        """As plain JSON values."""
        return asdict(self) | {"ears": [list(ear) for ear in self.ears]}


@cache
def opened(profile: str, names: tuple[str, ...]) -> tuple[Profile, Ears, Way]:
    """The ears, opened once in each process: that takes longer than hearing a sentence.

    Raises ModelError, ProfileError or UnknownNameError where one of them can't be had.
    """
    trade = load_profile(profile)
    ears = open_ears(trade, load_spoken(), names)
    return trade, ears, _way(trade, ears.names, ears.models)


def _way(trade: Profile, names: Sequence[str], models: Mapping[str, str]) -> Way:
    ears = tuple((name, models[name]) for name in names)
    return Way(__version__, trade.id, profile_hash(trade), ears)
