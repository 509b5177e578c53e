"""Which ears heard a phrase at all: one bound to a grammar finds something in any speech."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.hearing.heard import EarHearing
from assistant.settling.meaning import Meant
from assistant.settling.understood import WEAK_BEYOND, Understood
from assistant.wording.statement import NoteSaid, NotUnderstood

OFF_GRAMMAR_LIMIT: Mapping[str, float] = {"own": 15.0, "letters": 25.0, "pocketsphinx": 350.0}
"""Nats a second, by ear: beyond it free speech explains the sound so much better than the grammar
that the words were hardly a phrase of it. Measured: of readings that the own ear heard right in
noise 99 of 100 lay below 11.5, and of 54 spoken prompts that are no readings all above 17.8; of 77
synthetic utterances that pocketsphinx heard right 3 lay beyond its limit, and of 30 sentences of
chatter 20, while 8 gave no words."""

TALK_FROM = 100.0
"""Nats a second off the grammar, of an ear that tells shares, from which the assistant was not
meant. Sentences of chatter lay 55 to 1,011 off, "stand over there" as "stand by" 331 and more."""
OFF_GRAMMAR = "it did not sound like anything that is said here: say it again, or begin with note"

TALK = "talk that is not meant for me"
"""Why words were not understood that are not to be answered."""


def believed(understood: Sequence[Understood]) -> list[Understood]:
    """The ears to be listened to. One that says its words were off its grammar is left out; where
    no other is left, or an ear of free speech holds other words for far likelier than any phrase,
    what was said is kept as not understood, or as talk where it lies very far off. A note is free
    speech after its first word, so it must lie off the grammar."""
    on = [one for one in understood if not off_grammar(one.ear) or _is_note(one)]
    surely_off = any(off_grammar(one.ear) and one.ear.shares for one in understood)
    free = [one for one in understood if one.ear.open_vocabulary]
    strange = any(not one.is_clear or one.behind > WEAK_BEYOND for one in free)
    if not understood or (on and not (surely_off and strange)):
        return on
    first = free[0] if free else understood[0]
    talk = any((one.ear.off_grammar or 0.0) > TALK_FROM for one in understood if one.ear.shares)
    said = NotUnderstood(first.words, TALK if talk else OFF_GRAMMAR)
    lost = Meant(said, first.meant[0].context if first.meant else {})
    return [Understood(first.ear, (lost,), first.words)]


def off_grammar(ear: EarHearing) -> bool:
    limit = OFF_GRAMMAR_LIMIT.get(ear.ear)
    return limit is not None and ear.off_grammar is not None and ear.off_grammar > limit


def _is_note(one: Understood) -> bool:
    return bool(one.meant) and isinstance(one.meant[0].statement, NoteSaid)
