"""The grounds on which a claim is asked about. Each may raise the bar; none lowers it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.hearing.heard import Heard, HeardWord
from assistant.profile.schema import Profile
from assistant.settling.agreement import MOST_ODDS, Claim
from assistant.settling.kin import KIN_SURE, only_kin
from assistant.settling.meaning import quantity_of
from assistant.settling.settled import Doubt
from assistant.wording.statement import CommandSaid, ContextSaid, ObservationSaid, ReadingSaid

Trusted = Callable[[str, str], bool]
"""Whether two ears, by name, have shown that their agreement may accept."""


def nobody(_first: str, _second: str) -> bool:
    """Trusts no pair: everything that was heard is asked about."""
    return False


LEAST_ODDS = MOST_ODDS
"""Nats (1000 to 1), all witnesses together, by which a claim must be likelier than anything else
they could have heard: as much as one kind of ear can give. Measured on 3,708 values in two voices,
clean and noisy: of 56 that were agreed on with less, two were wrong ("two oh" taken for 2 in a calm
room among them), of 3,223 with more three, all amid noise."""
LEAST_ODDS_ALIKE = 13.0
"""The same where one word would make another number that sounds alike: nearly all that two kinds of
ear can give. A synthetic voice's "fourteen" was "forty" to three ears with odds of 12."""


LEAST_ODDS_ALIKE_CALM = 11.0
"""The same where hardly any noise is around the speech: amid noise 13 of the 67 numbers that were
asked about because they sound like another were wrong, with odds up to 11.2, and none in quiet."""

HARMLESS = frozenset(
    {
        "causes",
        "compare",
        "go_ahead",
        "in_full",
        "next_check",
        "open_questions",
        "read_back",
        "say_again",
        "stand_by",
        "terse",
        "why",
    }
)
"""Commands that change nothing in the record: one ear is enough to obey them."""


def doubts_about(
    claim: Claim,
    heard: Heard,
    profile: Profile,
    trusted: Trusted,
    misheard: Callable[[Sequence[HeardWord]], bool],
    cut_off: Doubt | None = None,
) -> tuple[Doubt, ...]:
    """Why this claim is asked about; () where it is accepted. ``misheard`` tells whether a word
    that sounds like one of these would make another value, ``cut_off`` what is in
    doubt where the beginning may be lost."""
    said = claim.meant.statement
    certain = any(ear.certain for ear in claim.witnesses)
    if isinstance(said, ReadingSaid):
        found = [_implausible(said, profile)]
        if not certain:
            found += [
                _not_agreed(claim, trusted),
                _prompted_context(said, claim, profile),
                cut_off,
                _sounds_alike(claim, misheard),
                _close(claim, heard.calm, misheard),
                _other_context(said, claim),
            ]
        return tuple(dict.fromkeys(doubt for doubt in found if doubt))
    free = isinstance(said, ObservationSaid) and _is_text(said, profile)
    binding = isinstance(said, (ContextSaid, ObservationSaid)) or (
        # With one ear alone an answer is all that can settle a question, so it is obeyed.
        isinstance(said, CommandSaid) and said.command not in HARMLESS and len(heard.ears) > 1
    )
    if certain or free or not binding:
        return ()
    doubt = _not_agreed(claim, trusted) or cut_off or _close(claim, heard.calm)
    return (doubt,) if doubt else ()


def _not_agreed(claim: Claim, trusted: Trusted) -> Doubt | None:
    """Nobody else heard exactly this, or those who did may not accept yet."""
    names = [ear.ear for ear in claim.witnesses]
    if len(names) == 1:
        return _rival(claim) or "one_ear"
    if any(trusted(a, b) for i, a in enumerate(names) for b in names[i + 1 :]):
        return None
    return "unverified"


def _rival(claim: Claim) -> Doubt | None:
    """How the other ears' readings differ from this one, the nearest difference first."""
    said = claim.meant.statement
    if not isinstance(said, ReadingSaid):
        return None
    readings = [other for other in claim.rivals if isinstance(other, ReadingSaid)]
    same_label = [r for r in readings if (r.quantity, r.position) == (said.quantity, said.position)]
    if any(r.value == said.value for r in same_label):
        return "context"
    if same_label:
        return "value"
    if any(r.value.number == said.value.number for r in readings):
        return "label"
    return None


def _implausible(said: ReadingSaid, profile: Profile) -> Doubt | None:
    """The value can't be: outside the plausible range, whose limits are plausible."""
    if said.quantity is None or said.value.number is None:
        return None
    low, high = quantity_of(profile, said.quantity).plausible
    return None if low <= float(said.value.number) <= high else "plausible"


def _prompted_context(said: ReadingSaid, claim: Claim, profile: Profile) -> Doubt | None:
    """A context that was heard only by ears which a prompt had led to expect its words."""
    words = [_words_of(key, value, profile) for key, value in said.context]
    invented = any(all(ear.prompted & some for ear in claim.witnesses) for some in words)
    return "context" if invented else None


def _sounds_alike(claim: Claim, misheard: Callable[[Sequence[HeardWord]], bool]) -> Doubt | None:
    """A word of the number is easily taken for another ("thirteen", "thirty") that would make
    another value, and only ears that go by its sound heard it: these fail alike. Measured: the own
    ear and pocketsphinx both took "thirteen" for "thirty" once in 92 values that they agreed on."""
    if any(ear.open_vocabulary for ear in claim.witnesses):
        return None
    return "alike" if any(misheard(words) for words in claim.wordings) else None


def _close(
    claim: Claim, calm: bool, misheard: Callable[[Sequence[HeardWord]], bool] = lambda _: False
) -> Doubt | None:
    """The ears themselves hold something else for nearly as likely, or only ears of one make heard
    it and are not very sure."""
    odds = claim.total_odds
    if odds is None:
        return None
    if only_kin(ear.ear for ear in claim.witnesses):
        return "close" if min(each for _, each in claim.odds) < KIN_SURE else None
    if odds >= (LEAST_ODDS_ALIKE_CALM if calm else LEAST_ODDS_ALIKE):
        return None
    if any(misheard(words) for words in claim.wordings):
        return "alike"
    return "close" if odds < LEAST_ODDS else None


def _other_context(said: ReadingSaid, claim: Claim) -> Doubt | None:
    """Another ear heard the very same reading under another context."""
    same = (said.quantity, said.position, said.value.state, said.value.number)
    others = (r for r in claim.rivals if isinstance(r, ReadingSaid))
    contexts = [
        dict(r.context)
        for r in others
        if (r.quantity, r.position, r.value.state, r.value.number) == same
    ]
    return "context" if any(context != dict(said.context) for context in contexts) else None


def _words_of(key: str, value: str, profile: Profile) -> frozenset[str]:
    phrases = (
        phrase
        for context in profile.context
        if context.id == key
        for choice in context.value
        if choice.id == value
        for phrase in choice.spoken
    )
    return frozenset(word for phrase in phrases for word in phrase.split())


def _is_text(said: ObservationSaid, profile: Profile) -> bool:
    return any(o.id == said.item and o.kind == "text" for o in profile.observation)
