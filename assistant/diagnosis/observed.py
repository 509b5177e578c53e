"""Findings from what was seen or told: a choice of the profile carries its own verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.diagnosis.finding import Finding
from assistant.diagnosis.reasons import heard_words
from assistant.profile.schema import Profile
from assistant.record.session import Observation


def observation_findings(
    profile: Profile, observations: Iterable[Observation]
) -> Iterator[Finding]:
    """The latest of each item counts; identifiers and free words are judged by nobody."""
    last = {o.item: o for o in observations if o.status == "accepted"}
    for row in profile.observation:
        seen = last.get(row.id)
        choice = next((c for c in row.choice if seen and c.id == seen.value), None)
        if seen is None or choice is None:
            continue
        words = f"{row.title}: {choice.spoken[0]}{heard_words(seen.heard)}"
        reason = f"{words}; {choice.reason}" if choice.reason else words
        yield Finding(row.id, choice.verdict, (seen.id,), reason, row.source)
