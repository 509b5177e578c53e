"""What each ear is taken to have said, and how sure it is of each part of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass

from assistant.hearing.heard import EarHearing, Heard, HeardWord, Hypothesis
from assistant.profile.schema import Profile
from assistant.settling.meaning import Meant, key, mean
from assistant.settling.settled import Expectation
from assistant.wording.statement import NotUnderstood, Statement

Parse = Callable[[Sequence[HeardWord]], tuple[Statement, ...]]
Meanings = Callable[[Sequence[HeardWord]], tuple[Meant, ...]]

FREE_WORDS_LEAD = 12.0
"""Nats by which free words that mean nothing here must be likelier than a phrase that is
understood, to be believed: a trade's words are rare in free speech. Measured on the 210 values of
300 recordings of three voices, clean and noisy: with 8 two ears agreed beyond doubt on 151, with
12 on 156, none of them wrong."""
WEAK_BEYOND = 4.0
"""Nats: what lies further behind free words is not confirmed, only the least bad; each nat more is
taken off the ear's odds. Amid a motor at 5 dB "too wun", which another ear took for "tree one", lay
11 behind "t1"."""
SUREST = 20.0
"""Nats; beyond it a share can't be told from one."""


@dataclass(frozen=True, slots=True)
class Understood:
    """One ear's phrase as statements with their full meaning, in the order said. ``ways`` are its
    phrases that are understood, each with its share of the probability and the keys of what it
    says; ``lost`` is the share of those that are not; ``behind`` (nats), how much likelier the
    likeliest of them all is than the one that is taken."""

    ear: EarHearing
    meant: tuple[Meant, ...]
    words: tuple[HeardWord, ...]
    ways: tuple[tuple[float, frozenset[Hashable]], ...] = ()
    lost: float = 0.0
    behind: float = 0.0

    @property
    def is_clear(self) -> bool:
        """Whether all of the phrase that is taken means something here."""
        return _is_clear(self.meant)

    def odds(self, said: Hashable) -> float | None:
        """How much likelier (nats) this ear holds it that ``said`` was said than anything else
        that is understood; None where its confidences tell nothing of the kind."""
        if not self.ear.shares:
            return None
        share = sum(share for share, keys in self.ways if said in keys)
        rest = max(0.0, 1.0 - self.lost - share)
        least = math.exp(-SUREST) * (share + rest)
        if share <= least:
            return -SUREST
        odds = math.log(share / rest) if rest > least else SUREST
        return odds - max(0.0, self.behind - WEAK_BEYOND)


def understand(heard: Heard, meanings: Meanings) -> tuple[Understood, ...]:
    """Every ear that heard words."""
    return tuple(_understood(ear, meanings) for ear in heard.ears if any(_worded(ear)))


def meaning_of(parse: Parse, expectation: Expectation, profile: Profile) -> Meanings:
    """What words say, with their full meaning."""

    def meanings(words: Sequence[HeardWord]) -> tuple[Meant, ...]:
        return tuple(mean(said, expectation, profile) for said in parse(words))

    return meanings


def _worded(ear: EarHearing) -> Iterator[Hypothesis]:
    return (hypothesis for hypothesis in ear.hypotheses if hypothesis.words)


def _understood(ear: EarHearing, meanings: Meanings) -> Understood:
    first, *others = _worded(ear)
    if not ear.shares:
        return Understood(ear, meanings(first.words), first.words)
    found = [(each, meanings(each.words)) for each in (first, *others)]
    likely = first.confidence * math.exp(-FREE_WORDS_LEAD)
    chosen, meant = next(
        ((each, made) for each, made in found if each.confidence >= likely and _is_clear(made)),
        found[0],
    )
    ways = tuple(
        (each.confidence, frozenset(map(key, made))) for each, made in found if _is_clear(made)
    )
    lost = sum(each.confidence for each, made in found if not _is_clear(made))
    behind = math.log(first.confidence / chosen.confidence)
    return Understood(ear, meant, chosen.words, ways, lost, behind)


def _is_clear(meant: Sequence[Meant]) -> bool:
    return bool(meant) and not any(isinstance(one.statement, NotUnderstood) for one in meant)
