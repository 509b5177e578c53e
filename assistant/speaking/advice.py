"""What is said of findings, causes and the next check: cautions first, then the plain sentence."""

from __future__ import annotations

import re

from assistant.diagnosis.finding import Cause, Finding, NextCheck
from assistant.profile.schema import Profile
from assistant.speaking.digits import DIGITS, figures_in
from assistant.speaking.reply import Reply, Tone

VERDICT_WORDS = {
    "ok": "in tolerance",
    "out": "out of tolerance",
    "suspect": "suspect",
    "not_applicable": "not judged here",
    "unknown": "not enough to judge",
}
"""A verdict on a reading in words, wherever one is shown or said."""
SEEN_WORDS = {**VERDICT_WORDS, "ok": "fine", "out": "fault"}
"""A verdict on what was seen or told: there is no tolerance to be out of."""

_QUOTED = re.compile(r' \(heard "[^"]*"\)')
_SYMBOLS = (("%", " percent"), (" Ω", " ohms"), ("°", " degrees"), ("±", "plus or minus "))


def reply_to_finding(finding: Finding, profile: Profile) -> Reply:
    """Only what is wrong or cannot be judged is said; what is in tolerance is shown. The caution
    of what was seen (a swollen battery) comes before it."""
    seen = next((o for o in profile.observation if o.id == finding.rule), None)
    words = VERDICT_WORDS if seen is None else SEEN_WORDS
    shown = f"{words[finding.verdict]}: {finding.reason}"
    if finding.flagged:
        caution = seen.caution if seen is not None else ""
        return _cautioned(caution, shown, spoken_sentence(shown), "out", finding.about)
    if finding.verdict == "unknown":
        return Reply(shown, spoken_sentence(shown), "asked", finding.about)
    return Reply(shown, "", about=finding.about)


def reply_to_next_check(check: NextCheck | None) -> Reply:
    """The check most worth doing, its caution before it; None when none is left."""
    if check is None:
        text = "no further check would tell more"
        return Reply(text, text)
    shown = f"next: {_sentence(check.title)}"
    if check.precondition:
        shown = f"first: {_sentence(check.precondition)} Then {shown}"
    time = f"About {minutes(check.minutes)}."
    return _cautioned(check.caution, f"{shown} {time}", f"{spoken_sentence(shown)} {time}")


def reply_to_cause(cause: Cause | None) -> Reply:
    """The likeliest cause with the most telling reason for it and against it; None while the
    readings tell too little."""
    if cause is None:
        text = "not enough yet to name a cause"
        return Reply(text, text)
    shown = f"likely cause: {cause.title}, {chance(cause.probability)}."
    if cause.reasons_for:
        shown = f"{shown} Because: {_sentence(cause.reasons_for[0])}"
    if cause.missed:
        shown = f"{shown} Against it: {_sentence(cause.missed[0])}"
    return _cautioned(cause.caution, shown, spoken_sentence(shown))


def chance(probability: float) -> str:
    """A probability as people say it; never "certain", which no posterior is.

    >>> chance(0.71), chance(0.999), chance(0.004)
    ('seven in ten', 'more than nineteen in twenty', 'less than one in twenty')
    """
    if probability > 0.95:
        return "more than nineteen in twenty"
    if probability < 0.05:
        return "less than one in twenty"
    return f"{DIGITS[min(9, max(1, round(probability * 10)))]} in ten"


def minutes(count: float) -> str:
    return "1 minute" if count == 1 else f"{count:g} minutes"


def spoken_sentence(text: str) -> str:
    """A sentence of the screen made fit for the ear: figures digit by digit, symbols in words,
    the quoted words that were heard left out."""
    text = _QUOTED.sub("", text)
    for symbol, word in _SYMBOLS:
        text = text.replace(symbol, word)
    return figures_in(text)


def _cautioned(
    caution: str, shown: str, spoken: str, tone: Tone = "none", about: tuple[str, ...] = ()
) -> Reply:
    if not caution:
        return Reply(shown, spoken, tone, about)
    first = f"caution: {_sentence(caution)}"
    return Reply(f"{first} {shown}", f"{spoken_sentence(first)} {spoken}", tone, about)


def _sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "!", "?")) else f"{text}."
