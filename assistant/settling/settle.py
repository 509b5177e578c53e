"""Decides what is accepted, what is asked about, and what is left: statement by statement.

Acceptance of a reading needs two ears that have shown that together they may accept, agreeing on
the whole tuple, and none of the doubts of ``doubts.py``. One doubtful reading does not hold up
its neighbour. What is typed is heard for certain.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.hearing.heard import Heard, HeardWord
from assistant.profile.schema import Profile
from assistant.settling.agreement import Claim, claims
from assistant.settling.alike import NOTHING_ALIKE, would_make_another
from assistant.settling.answer import answered
from assistant.settling.believed import believed
from assistant.settling.doubts import Trusted, doubts_about
from assistant.settling.settled import Expectation, Settled, Status
from assistant.settling.understood import Parse, Understood, understand
from assistant.wording.statement import NotUnderstood, ReadingSaid


def settle(
    heard: Heard,
    parse: Parse,
    expectation: Expectation,
    profile: Profile,
    trusted: Trusted,
    alike: Mapping[str, str] = NOTHING_ALIKE,
) -> tuple[Settled, ...]:
    """The decision on every statement of one utterance, in the order said; () where no ear heard
    anything. ``parse`` turns an ear's words into statements; ``alike`` gives words that sound
    alike, each for the other."""
    everybody = understand(heard, parse, expectation, profile)
    transcripts = tuple((one.ear.ear, _text(one.words)) for one in everybody)
    understood = believed(everybody)

    def misheard(words: Sequence[HeardWord]) -> bool:
        return would_make_another(words, parse, alike)

    settled = []
    for claim in claims(understood):
        found = doubts_about(claim, heard, profile, trusted, misheard)
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
