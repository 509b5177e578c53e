"""What diagnosis/ gives on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["ok", "out", "suspect", "not_applicable", "unknown"]
Outcome = Literal["gone", "remains", "not_measured"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied to the session: ``about`` holds the ids of the readings and observations
    it rests on, ``reason`` a sentence down to the words heard, ``source`` where the limit comes
    from. "unknown" means that something needed to judge was not said or not measured. ``lower``
    is the position that reads the less of a pair that disagrees."""

    rule: str
    verdict: Verdict
    about: tuple[str, ...]
    reason: str
    source: str = ""
    lower: str | None = None

    @property
    def flagged(self) -> bool:
        """Whether it says that something is wrong."""
        return self.verdict in ("out", "suspect")


@dataclass(frozen=True, slots=True)
class Cause:
    """A possible cause with its probability 0…1 and the reasons for and against it, in words:
    signs that it would show and that are ``missed``, and signs that it leaves ``unexplained``."""

    cause: str
    title: str
    probability: float
    reasons_for: tuple[str, ...] = ()
    missed: tuple[str, ...] = ()
    unexplained: tuple[str, ...] = ()
    remedy: str = ""
    caution: str = ""

    @property
    def reasons_against(self) -> tuple[str, ...]:
        return *self.missed, *(f"not explained by it: {sign}" for sign in self.unexplained)


@dataclass(frozen=True, slots=True)
class NextCheck:
    """The check most worth doing: expected information in bits, and its cost in minutes."""

    check: str
    title: str
    minutes: float
    gain_bits: float
    caution: str = ""
    precondition: str = ""


@dataclass(frozen=True, slots=True)
class RepairProof:
    """What became of one thing flagged before the repair. ``about`` holds the ids of what was
    flagged and then of what was measured again."""

    rule: str
    outcome: Outcome
    about: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """All that follows from one session.

    ``causes`` fall in probability; "no_fault" among them is the chance that nothing listed is
    wrong. ``next_checks`` come best first and are empty once ``enough`` is true. ``verdict`` says
    in a sentence why it is enough, or why not yet. ``proven``: everything flagged before the
    repair was measured again in the same context and is gone, and nothing new came up.
    ``still_flagged``: those of the findings that hold now, what a repair has mended left out.
    ``ready_for_use``: there is none and the safety release round is done; ``release_missing`` says
    in words what that still lacks.
    """

    findings: tuple[Finding, ...] = ()
    causes: tuple[Cause, ...] = ()
    next_checks: tuple[NextCheck, ...] = ()
    enough: bool = False
    verdict: str = ""
    repairs: tuple[RepairProof, ...] = ()
    proven: bool = False
    still_flagged: tuple[Finding, ...] = ()
    ready_for_use: bool = False
    release_missing: tuple[str, ...] = ()
