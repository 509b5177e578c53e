"""What the index gives back: one line of the list, a page of it, and what may be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Outcome = Literal["proven", "unproven", "faulty", "clean", "unknown"]
"""``proven``: repaired, and everything flagged before was measured again and is gone.
``unproven``: repaired (a part fitted, or something measured after a repair) and not proven.
``faulty``: something is out of tolerance or suspect and nothing was repaired. ``clean``: neither.
``unknown``: nothing could be judged."""

Chain = Literal["whole", "broken", "missing"]
"""Of the journals: ``broken`` was damaged or tampered with, ``missing`` was here once."""

Need = Literal["chain", "after_sign_off", "questions", "unproven", "out"]


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One session in the list. Moments are RFC 3339 in UTC; ``technician`` are initials.

    ``questions`` are readings not settled, ``out`` findings that say something is wrong (out of
    tolerance or suspect), before and after a repair together, ``unproven`` what
    was flagged and not shown to be gone after a repair. ``cause`` is the likeliest (id, title and
    chance 0…1), "" where none is named. ``minutes`` is the labour said, ``lasted`` the minutes
    from opening to close; None where unknown. ``trouble`` says in words what is wrong with the
    journals, or why nothing was judged. ``attention`` is 0 where a supervisor has nothing to do.
    """

    id: str
    unit: str = ""
    technician: str = ""
    profile: str = ""
    opened: str = ""
    closed: str | None = None
    head: str = ""
    signed_by: str = ""
    signed_at: str = ""
    signed_current: bool = False
    readings: int = 0
    questions: int = 0
    out: int = 0
    unproven: int = 0
    conflicts: int = 0
    cause: str = ""
    cause_title: str = ""
    chance: float = 0.0
    complaint: str = ""
    parts: tuple[str, ...] = ()
    minutes: float | None = None
    lasted: float | None = None
    outcome: Outcome = "unknown"
    chain: Chain = "whole"
    trouble: str = ""
    attention: int = 0

    @property
    def needs(self) -> tuple[Need, ...]:
        """What a supervisor has to look at, most pressing first; "" for nothing. A signature
        settles all but a broken chain, until something is entered after it."""
        found: list[Need] = []
        if self.chain != "whole":
            found.append("chain")
        if self.signed_current and not self.conflicts:
            return tuple(found)
        if self.conflicts or self.signed_by:
            found.append("after_sign_off")
        if self.questions:
            found.append("questions")
        if self.outcome == "unproven":
            found.append("unproven")
        if self.out and self.outcome == "faulty":
            found.append("out")
        return tuple(found)


WEIGHTS: dict[Need, int] = {
    "chain": 5,
    "after_sign_off": 4,
    "questions": 3,
    "unproven": 2,
    "out": 1,
}
"""``SessionRow.attention`` is that of the first of its ``needs``."""


def attention_of(row: SessionRow) -> int:
    """How pressing a session is: 0 (nothing to do) to 5 (its chain is broken)."""
    return max((WEIGHTS[need] for need in row.needs), default=0)


@dataclass(frozen=True, slots=True)
class Filter:
    """Which sessions; what is left "" or None is not asked for. ``since`` and ``until`` are dates
    (2026-11-25), both included."""

    unit: str = ""
    technician: str = ""
    cause: str = ""
    outcome: Outcome | None = None
    signed: bool | None = None
    needs: bool | None = None
    since: str = ""
    until: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """Rows, and the ``after`` that gives the next page; None on the last one."""

    rows: tuple[SessionRow, ...]
    after: str | None
