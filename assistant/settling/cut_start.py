"""Where the beginning of an utterance may be cut off: what a word lost there would change.

A label in front of its number is not changed by a lost word; a bare number may have lost its
"minus" or its first figure, "docked" its "un", a reading without its context the word for it.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator, Sequence
from dataclasses import replace

from assistant.audio.segments import QUIET_NEEDED
from assistant.hearing.heard import Heard, HeardWord
from assistant.profile.schema import Profile
from assistant.settling.meaning import Meant, key, quantity_of
from assistant.settling.settled import Doubt
from assistant.settling.understood import Meanings
from assistant.wording.mishearings import Mishearings
from assistant.wording.statement import ContextSaid, NotUnderstood, ReadingSaid

LEAD_NEEDED = 0.8
"""Seconds. Amid loud machines there is no quiet to be measured, but the ears have heard the sound
before the words. Of 672 beginnings with "minus", cut off at every 60 ms, clean and amid noise at 15
and 5 dB, the own ear and its twin agreed on 327 without the "minus": what was left of it and the
pause after it made 0.5 s or more before the number in 99, and 0.74 s at most."""


def may_be_cut_off(heard: Heard) -> bool:
    """Whether there was too little quiet before the first word, and too little sound in which a
    word before it would have been heard.

    With the onset cut so that "minus" was lost, both ears agreed on the wrong sign in 19 of 24
    trials: agreement can't see it, the missing quiet can.
    """
    return heard.quiet_before < QUIET_NEEDED and _lead(heard) < LEAD_NEEDED


def doubts_of_a_lost_start(
    words: Sequence[HeardWord],
    unbroken: bool,
    meanings: Meanings,
    mishearings: Mishearings,
    profile: Profile,
) -> dict[Hashable, Doubt]:
    """By key, the readings and contexts in the words that would be others if the words had begun
    before: "start" where the value would, "context" where only its context would. What is missing
    and asked for anyhow may change. Where sound is missing in the middle, nothing tells what was
    lost: the reading that opens the words is in doubt whatever it is."""
    said = [one for one in meanings(words) if isinstance(one.statement, (ReadingSaid, ContextSaid))]
    known = {one.statement.key for one in said if isinstance(one.statement, ContextSaid)}
    opening = [one for one in said if not unbroken and one.statement.words[:1] == words[:1]]
    found: dict[Hashable, Doubt] = {key(one): "start" for one in opening}
    for other in _begun_before(words, mishearings, known):
        meant = meanings(other)
        if not meant or any(isinstance(one.statement, NotUnderstood) for one in meant):
            continue
        for one in said:
            alike = [each for each in meant if _is_same(one, each, profile)]
            if not alike and not isinstance(one.statement, ContextSaid):
                found[key(one)] = "start"
            elif not any(_governed_alike(one, each, profile) for each in alike):
                found.setdefault(key(one), "context")
    return found


def _begun_before(
    words: Sequence[HeardWord], mishearings: Mishearings, known: Collection[str]
) -> Iterator[list[HeardWord]]:
    first, *rest = words
    for context, phrase in mishearings.before:
        if context not in known:
            yield [*(replace(first, text=word) for word in phrase.split()), *words]
    for longer in mishearings.longer.get(first.text, ()):
        yield [replace(first, text=longer), *rest]


def _is_same(one: Meant, other: Meant, profile: Profile) -> bool:
    """Whether ``other`` says the same but for contexts, or names a wire that was missing."""
    said, now = one.statement, other.statement
    if not isinstance(said, ReadingSaid) or said.quantity is None:
        return key(one) == key(other)
    return (
        isinstance(now, ReadingSaid)
        and (now.position, now.value.state, now.value.number)
        == (said.position, said.value.state, said.value.number)
        and (
            now.quantity == said.quantity
            or quantity_of(profile, said.quantity).decided_by in one.missing
        )
    )


def _governed_alike(one: Meant, other: Meant, profile: Profile) -> bool:
    """Of contexts those count that the reading needs: to lose another takes longer than a word."""
    if not isinstance(one.statement, ReadingSaid) or one.statement.quantity is None:
        return True
    return all(
        name in one.missing or other.context.get(name) == one.context.get(name)
        for name in quantity_of(profile, one.statement.quantity).needs
    )


def _lead(heard: Heard) -> float:
    """Seconds of sound before the first word that any ear heard, in which all heard nothing; of
    ears that know when they hear: a language model spreads its words over the sound."""
    begins = [ear.words[0].start for ear in heard.ears if ear.words and not ear.open_vocabulary]
    return min(begins) - heard.start if begins and heard.unbroken else 0.0
