"""What diagnosis/ gives on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["ok", "out", "suspect", "not_applicable", "unknown"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied to the session: ``about`` holds the ids of the readings and observations
    it rests on, ``reason`` a sentence down to the words heard, ``source`` where the limit comes
    from. "unknown" means that something needed to judge was not said or not measured."""

    rule: str
    verdict: Verdict
    about: tuple[str, ...]
    reason: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Cause:
    """A possible cause with its probability 0…1 and the reasons for and against it, in words."""

    cause: str
    title: str
    probability: float
    reasons_for: tuple[str, ...] = ()
    reasons_against: tuple[str, ...] = ()
    remedy: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class NextCheck:
    """The check most worth doing: expected information in bits, and its cost in minutes."""

    check: str
    title: str
    minutes: float
    gain_bits: float
    caution: str = ""
    precondition: str = ""
