"""What an utterance owes to the one before: "fourteen … point five" is one value in two breaths,
and what came to nothing may have been the "minus" of what follows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.audio.utterance import Utterance
from assistant.hearing.heard import EarHearing, Heard, Hypothesis
from assistant.settling.settled import Expectation, Settled
from assistant.wording.statement import NotUnderstood, ReadingSaid

LONGEST_PAUSE = 2.0
"""Seconds between the last word of an utterance and the first of the next within which the second
may continue the first's number."""

MOST = 4
"""Phrases of an ear that are joined."""


@dataclass(frozen=True, slots=True)
class Unfinished:
    """An utterance whose last words could go on, what was expected then, how many statements it
    made, and the entry of the last one."""

    heard: Heard
    expectation: Expectation
    said: int
    entry: str

    def with_next(self, heard: Heard, asked: bool) -> Heard | None:
        """Both utterances as one, ear by ear; None when the second came too late. While the first
        is still ``asked`` about it never is: "point six" then answers no question by itself."""
        if heard.source != self.heard.source:
            return None
        if not asked and _pause(self.heard, heard) > LONGEST_PAUSE:
            return None
        before = {ear.ear: ear for ear in self.heard.ears}
        ears = tuple(_joined(before[ear.ear], ear) for ear in heard.ears if ear.ear in before)
        return replace(self.heard, end=heard.end, quiet_after=heard.quiet_after, ears=ears)

    def continued(self, settled: Sequence[Settled]) -> Settled | None:
        """The reading that the first utterance's last words became, citing the entry it replaces.
        None when the second utterance did not go on with the number."""
        if len(settled) != self.said or not isinstance(settled[-1].statement, ReadingSaid):
            return None
        return replace(settled[-1], answers=self.entry)


@dataclass(frozen=True, slots=True)
class Lost:
    """Where speech ended of which nothing was understood; nowhere, if not given."""

    source: str = ""
    end: float = -math.inf

    def just_before(self, utterance: Utterance) -> bool:
        """Whether it may be the beginning of this one."""
        return utterance.source == self.source and utterance.start - self.end <= LONGEST_PAUSE


def may_go_on(settled: Sequence[Settled]) -> bool:
    """Whether more words could make another value of the last ones."""
    last = settled[-1].statement if settled else None
    if isinstance(last, ReadingSaid):
        return last.value.may_go_on
    return isinstance(last, NotUnderstood) and last.may_go_on


def _pause(before: Heard, after: Heard) -> float:
    """Seconds without a word between two utterances, as their ears heard it. The bounds of an
    utterance don't tell: how much sound is kept around the speech depends on the noise."""
    last = max((ear.words[-1].end for ear in before.ears if ear.words), default=-math.inf)
    return min((ear.words[0].start for ear in after.ears if ear.words), default=math.inf) - last


def _joined(before: EarHearing, after: EarHearing) -> EarHearing:
    """Each of the likeliest phrases of the one followed by each of the other."""
    pairs = [(a, b) for a in before.hypotheses[:MOST] for b in after.hypotheses[:MOST]]
    joined = [Hypothesis(a.words + b.words, a.confidence * b.confidence) for a, b in pairs]
    joined.sort(key=lambda hypothesis: -hypothesis.confidence)
    return replace(after, hypotheses=tuple(joined))
