"""How a verdict is marked: a sign and a word, so that no colour is needed to tell."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.diagnosis.finding import Finding, Verdict
from assistant.speaking.advice import SEEN_WORDS, VERDICT_WORDS

SIGNS: dict[Verdict, str] = {
    "out": "✕",
    "suspect": "!",
    "unknown": "?",
    "ok": "✓",
    "not_applicable": "–",
}
"""In falling order of weight."""
_WEIGHT = {verdict: weight for weight, verdict in enumerate(SIGNS)}


def verdict_words(verdict: Verdict, seen: bool = False) -> str:
    """``seen``: the verdict is on something seen or told, not on a reading."""
    return (SEEN_WORDS if seen else VERDICT_WORDS)[verdict]


def marked(verdict: Verdict, seen: bool = False) -> str:
    """``✕ out of tolerance``."""
    return f"{SIGNS[verdict]} {verdict_words(verdict, seen)}"


def heaviest(findings: Iterable[Finding]) -> Verdict | None:
    """The verdict that counts for a reading on which several rules spoke; None when none did."""
    return min((f.verdict for f in findings), key=_WEIGHT.__getitem__, default=None)


def by_weight(findings: Iterable[Finding]) -> list[Finding]:
    """What is wrong first, else in the order given."""
    return sorted(findings, key=lambda f: _WEIGHT[f.verdict])
