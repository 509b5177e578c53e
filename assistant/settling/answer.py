"""What an utterance does to the question that is open: settles it, or leaves it."""

from __future__ import annotations

from dataclasses import replace

from assistant.settling.doubts import Trusted
from assistant.settling.kin import only_kin
from assistant.settling.settled import Expectation, OpenQuestion, Settled
from assistant.wording.statement import ReadingSaid


def answered(settled: Settled, expectation: Expectation, trusted: Trusted) -> Settled:
    """The same decision, marked with the question that it answers.

    A reading of the open question's label answers it. One that is still in doubt is combined with
    the first say: the same value from two trusted ears counts, also when each of them heard it in
    another say, because a mishearing rarely comes twice, from different ears, with one result.
    The same ear twice proves nothing, nor do two of one make.
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
    return replace(settled, answers=question.id)


def _about(said: ReadingSaid, question: OpenQuestion) -> bool:
    """The label was in doubt itself, or it is the same."""
    if "label" in question.doubts:
        return said.position == question.position or said.quantity == question.quantity
    return (said.quantity, said.position) == (question.quantity, question.position)
