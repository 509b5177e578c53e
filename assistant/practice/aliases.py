"""What an ear with an open vocabulary writes for a label, suggested as another name of it.

Only labels get one: never a number, and never a context, which decides what a number means. A name
is suggested when it came twice or more, means nothing else, and makes the phrases it was learnt
from understood better, none of them worse.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assistant.practice.voice_check import HeardPhrase, taken_for, understood
from assistant.profile.schema import Profile, SpokenWords
from assistant.wording.parser import Parser
from assistant.wording.statement import NotUnderstood

LEAST_TIMES = 2
_NAME = re.compile(r"[a-z']+( [a-z']+)*")


@dataclass(frozen=True, slots=True)
class Alias:
    """``table`` is the profile's ("quantity", "position"), ``id`` the label's, ``name`` how the
    ear writes it. ``before`` and ``after`` count phrases understood."""

    table: str
    id: str
    name: str
    ear: str
    times: int
    before: int
    after: int


def aliases(
    phrases: Sequence[HeardPhrase], ear: str, profile: Profile, spoken: SpokenWords
) -> tuple[Alias, ...]:
    """For one ear, one after the other, each with those before it in force."""
    taken: Counter[tuple[str, str]] = Counter()
    for phrase in phrases:
        taken.update(taken_for(phrase.said, phrase.heard.get(ear, "")))
    known = {phrase for _, _, names in _labels(profile) for phrase in names}
    found = []
    parser = Parser(profile, spoken)
    right = _understood(phrases, ear, parser)
    for (said, heard), times in taken.most_common():
        if times < LEAST_TIMES or heard in known or not _NAME.fullmatch(heard):
            continue
        if _means_something(heard, parser):
            continue
        for table, label, names in _labels(profile):
            if said not in names:
                continue
            tried = with_alias(profile, table, label, heard)
            after = _understood(phrases, ear, Parser(tried, spoken))
            if after > right:
                found.append(Alias(table, label, heard, ear, times, len(right), len(after)))
                profile, right = tried, after
            break
    return tuple(found)


def with_alias(profile: Profile, table: str, label: str, name: str) -> Profile:
    """The profile with one more name for a label, not yet checked against the others."""
    rows = tuple(
        row.model_copy(update={"spoken": (*row.spoken, name)}) if row.id == label else row
        for row in getattr(profile, table)
    )
    return profile.model_copy(update={table: rows})


def _means_something(heard: str, parser: Parser) -> bool:
    return any(not isinstance(said, NotUnderstood) for said in parser.parse_text(heard))


def _understood(phrases: Sequence[HeardPhrase], ear: str, parser: Parser) -> frozenset[str]:
    return frozenset(p.said for p in phrases if understood(p.said, p.heard.get(ear, ""), parser))


def _labels(profile: Profile) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    yield from (("quantity", q.id, q.spoken) for q in profile.quantity)
    yield from (("position", p.id, p.spoken) for p in profile.position)
