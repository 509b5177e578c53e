"""How the pages call what the index tells."""

from __future__ import annotations

from assistant.depot.listed import Need, Outcome

NEEDS: dict[Need, tuple[str, str]] = {
    "chain": ("⚠", "journal broken"),
    "after_sign_off": ("✎", "changed after sign-off"),
    "questions": ("?", "questions open"),
    "unproven": ("◐", "repair not proven"),
    "out": ("✕", "flagged"),
}
"""A sign and words, so that no colour is needed; most pressing first."""

OUTCOMES: dict[Outcome, str] = {
    "proven": "repair proven",
    "unproven": "repair not proven",
    "faulty": "fault found, not repaired",
    "clean": "nothing out of tolerance",
    "unknown": "nothing judged",
}


def counted(count: int, one: str, many: str = "") -> str:
    """
    >>> counted(1, "reading"), counted(0, "reading"), counted(2, "is", "are")
    ('1 reading', '0 readings', '2 are')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}".replace(",", " ")


def hours(minutes: float) -> str:
    """
    >>> hours(45), hours(61), hours(120)
    ('45 min', '1 h 1 min', '2 h')
    """
    whole, rest = divmod(round(minutes), 60)
    parts = [f"{whole} h"] * bool(whole) + [f"{rest} min"] * bool(rest or not whole)
    return " ".join(parts)
