"""Decides what is accepted, what is asked about, and what is left: statement by statement.

Acceptance of a reading needs two ears that have shown that together they may accept, agreeing on
the whole tuple, and none of the doubts of ``doubts.py``. One doubtful reading does not hold up
its neighbour. What is typed is heard for certain.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from assistant.hearing.heard import Heard, HeardWord
from assistant.profile.schema import Profile
from assistant.settling.agreement import Claim, claims
from assistant.settling.alike import would_make_another
from assistant.settling.answer import answered
from assistant.settling.believed import believed
from assistant.settling.cut_start import doubts_of_a_lost_start, may_be_cut_off
from assistant.settling.doubts import Trusted, doubts_about
from assistant.settling.meaning import key
from assistant.settling.settled import Doubt, Expectation, Settled, Status
from assistant.settling.understood import Parse, Understood, meaning_of, understand
from assistant.wording.mishearings import NONE, Mishearings
from assistant.wording.statement import NotUnderstood, ReadingSaid


def settle(
    heard: Heard,
    parse: Parse,
    expectation: Expectation,
    profile: Profile,
    trusted: Trusted,
    mishearings: Mishearings = NONE,
) -> tuple[Settled, ...]:
    """The decision on every statement of one utterance, in the order said; () where no ear heard
    anything. ``parse`` turns an ear's words into statements; ``mishearings`` tells what else
    they may have been."""
    meanings = meaning_of(parse, expectation, profile)
    everybody = understand(heard, meanings)
    transcripts = tuple((one.ear.ear, _text(one.words)) for one in everybody)
    understood = believed(everybody)
    lost: dict[Hashable, Doubt] = {}
    for way in understood if may_be_cut_off(heard) else ():
        lost |= doubts_of_a_lost_start(way.words, heard.unbroken, meanings, mishearings, profile)

    def misheard(words: Sequence[HeardWord]) -> bool:
        return would_make_another(words, parse, mishearings.alike)

    settled = []
    for claim in claims(understood):
        cut_off = lost.get(key(claim.meant))
        found = doubts_about(claim, heard, profile, trusted, misheard, cut_off)
        status: Status = "asked" if found else "accepted"
        if isinstance(claim.meant.statement, NotUnderstood):
            status = "nothing"
        one = Settled(
            claim.meant.statement,
            status,
            claim.meant.context,
            claim.meant.missing,
            found,
            transcripts,
            _says(claim, understood),
            claim.confidence,
            claim.meant.corrects,
            claim.total_odds,
        )
        # Parsing each word's like again costs time, and only an answer is asked for it.
        likes = expectation.question is not None and any(map(misheard, claim.wordings))
        settled.append(answered(one, expectation, trusted, likes))
    return tuple(settled)


def _text(words: Sequence[HeardWord]) -> str:
    return " ".join(word.text for word in words)


def _says(claim: Claim, understood: Sequence[Understood]) -> tuple[tuple[str, str], ...]:
    """Each ear's value for this reading's label, where it heard one."""
    said = claim.meant.statement
    if not isinstance(said, ReadingSaid):
        return ()
    return tuple(
        (one.ear.ear, other.value.number or other.value.state)
        for one in understood
        for meant in one.meant
        if isinstance(other := meant.statement, ReadingSaid)
        and (other.quantity, other.position) == (said.quantity, said.position)
    )


_BEYOND_EARS = frozenset({"start", "plausible"})


def no_ear_could_mend(settled: Sequence[Settled]) -> bool:
    """Whether one more ear would change nothing: all is accepted, or asked for reasons that lie
    in the sound or in the value. Where nothing was heard, there is nothing to mend."""
    return all(
        one.status == "accepted" or (one.doubts and _BEYOND_EARS.issuperset(one.doubts))
        for one in settled
    )
