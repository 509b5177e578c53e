"""What an utterance does to the question that is open: settles it, or leaves it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from assistant.settling.agreement import MOST_ODDS
from assistant.settling.doubts import LEAST_ODDS, LEAST_ODDS_ALIKE, Trusted
from assistant.settling.kin import only_kin
from assistant.settling.settled import Doubt, Expectation, OpenQuestion, Settled
from assistant.wording.statement import ReadingSaid


def answered(
    settled: Settled, expectation: Expectation, trusted: Trusted, alike: bool = False
) -> Settled:
    """The same decision, marked with the question that it answers.

    A reading of the open question's label answers it. One that is still in doubt is combined with
    the first say: the same value from two trusted ears counts, also when each of them heard it in
    another say, because a mishearing rarely comes twice, from different ears, with one result.
    The same ear twice proves nothing, nor do two of one make. What the first say holds against
    the second raises the bar. ``alike``: a word of the answer sounds like another.
    """
    question, said = expectation.question, settled.statement
    if question is None or not isinstance(said, ReadingSaid) or not _about(said, question):
        return settled
    value = said.value.number or said.value.state
    before = {ear for ear, earlier in question.says if earlier == value}
    now = {ear for ear, later in settled.says if later == value}
    pairs = ((a, b) for a in now for b in before if a != b)
    together = any(trusted(a, b) and not only_kin((a, b)) for a, b in pairs)
    if settled.status == "asked" and together and set(settled.doubts) <= {"value", "one_ear"}:
        settled = replace(settled, status="accepted", doubts=())
    elif settled.status == "accepted" and settled.odds is not None:
        doubts = tuple(_from_before(question, value, settled.odds, alike))
        settled = replace(settled, status="asked" if doubts else "accepted", doubts=doubts)
    lost = tuple(k for k in question.context if k not in {*settled.context, *settled.missing})
    return replace(settled, answers=question.id, missing=(*settled.missing, *lost))


def _from_before(question: OpenQuestion, value: str, odds: float, alike: bool) -> Iterator[Doubt]:
    """Amid a motor at 5 dB a synthetic voice's "fourteen" was "forty" in both its says, the second
    time with odds of 13.8; "minus wun fower zero" was −140, asked about, and then −150 with 7.8."""
    if alike and "alike" in question.doubts and odds < 2 * MOST_ODDS:
        yield "alike"
    before = max(0.0, question.odds or 0.0)
    if value != question.value and odds < min(LEAST_ODDS + before, LEAST_ODDS_ALIKE):
        yield "close"


def _about(said: ReadingSaid, question: OpenQuestion) -> bool:
    """The label was in doubt itself, or it is the same."""
    if "label" in question.doubts:
        return said.position == question.position or said.quantity == question.quantity
    return (said.quantity, said.position) == (question.quantity, question.position)
