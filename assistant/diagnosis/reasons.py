"""Readings, limits and contexts in plain words, down to the words heard."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.profile.schema import Profile
from assistant.record.session import Reading


def unit_words(profile: Profile, quantity: str) -> str:
    """The unit as it is said, with a leading space; empty for a plain count."""
    found = next((q for q in profile.quantity if q.id == quantity), None)
    if found is None or found.unit == "1":
        return ""
    return f" {found.unit_spoken[0] if found.unit_spoken else found.unit}"


def title_of(profile: Profile, name: str) -> str:
    """The title of a quantity, observation, sign, cause or check; the id where it has none."""
    tables = (profile.quantity, profile.observation, profile.sign, profile.cause, profile.check)
    return next((row.title for table in tables for row in table if row.id == name), name)


def value_words(profile: Profile, reading: Reading) -> str:
    if reading.state != "value":
        return reading.state.replace("_", " ")
    return f"{signed(reading.value or '')}{unit_words(profile, reading.quantity)}"


def reading_words(profile: Profile, reading: Reading) -> str:
    """'guide signal front 102 (heard "guide front one oh two")'."""
    parts = [
        title_of(profile, reading.quantity),
        reading.position or "",
        value_words(profile, reading),
    ]
    return " ".join(part for part in parts if part) + heard_words(reading.heard)


def position_words(profile: Profile, reading: Reading) -> str:
    """As ``reading_words``, the label left out: 'front 102 (heard "…")'."""
    label = reading.position or title_of(profile, reading.quantity)
    return f"{label} {value_words(profile, reading)}{heard_words(reading.heard)}"


def heard_words(heard: str) -> str:
    return f' (heard "{heard}")' if heard else ""


def context_words(profile: Profile, context: Mapping[str, str]) -> str:
    """'docked, before repair': each value as the profile first says it."""
    words = []
    for key, value in context.items():
        row = next((c for c in profile.context if c.id == key), None)
        known = next((v.spoken[0] for v in row.value if v.id == value), value) if row else value
        words.append(known)
    return ", ".join(words)


def signed(number: str) -> str:
    """A decimal string with the sign that is printed everywhere else: −65."""
    return number.replace("-", "\N{MINUS SIGN}")


def number_words(number: float, figures: int = 2) -> str:
    """A computed number to so many significant figures, never in powers of ten: 0.84, 130, 27."""
    if number == 0:
        return "0"
    from math import floor, isfinite, log10

    if not isfinite(number):
        return "without limit"
    places = figures - 1 - floor(log10(abs(number)))
    rounded = round(number, places)
    if abs(rounded) >= 10 ** (figures - places):  # 0.0999 is 0.10 and not 0.100
        places -= 1
    return signed(f"{rounded:.{max(places, 0)}f}")


def limit_words(limit: float) -> str:
    """A limit as the profile gives it: 67, 0.5, never 67.0."""
    return signed(f"{limit:g}")


def range_words(low: float | None, high: float | None) -> str:
    """'67 to 200', 'at least 67', 'at most 200'; 'none set' without limits."""
    if low is not None and high is not None:
        return f"{limit_words(low)} to {limit_words(high)}"
    if low is not None:
        return f"at least {limit_words(low)}"
    return f"at most {limit_words(high)}" if high is not None else "none set"
