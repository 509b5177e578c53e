"""Makes statements of an utterance's drafts: labels filled in, contexts laid on, units checked.

An utterance with a word that belongs to nothing is not understood as a whole, since that word may
have been any label, sign, figure or context of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.hearing.heard import HeardWord
from assistant.wording.breath import Breath
from assistant.wording.contexts import Saying, Sayings
from assistant.wording.drafts import ContextDraft, Draft, OtherDraft, ReadingDraft, words_at
from assistant.wording.lexicon import Lexicon
from assistant.wording.statement import (
    ContextSaid,
    NotUnderstood,
    ReadingSaid,
    Statement,
    Value,
)
from assistant.wording.taken import AFTER_LABEL


def statements(
    breath: Breath, lexicon: Lexicon, words: Sequence[HeardWord]
) -> tuple[Statement, ...]:
    if breath.unknown:
        return (NotUnderstood(tuple(words), _unknown(breath, lexicon, words)),)
    drafts = breath.said.drafts
    sayings = Sayings(
        Saying(draft.key, draft.value, draft.at, bool(draft.doubtful))
        for draft in drafts
        if isinstance(draft, ContextDraft)
    )
    return tuple(_statement(draft, sayings, lexicon, words) for draft in drafts)


def _unknown(breath: Breath, lexicon: Lexicon, words: Sequence[HeardWord]) -> str:
    """Why words that belong to nothing were not taken: what they may have been meant for, and what
    to say after the name of what was begun ("weather wet")."""
    strange = [word.text for word in words_at(words, breath.unknown)]
    like = lexicon.suggested.instead_of(strange)
    hint = f" ({', '.join(like)}?)" if like else ""
    begun = (
        draft.make((), False)
        for draft in breath.said.drafts
        if isinstance(draft, OtherDraft) and draft.unfinished != AFTER_LABEL
    )
    wish = next((b.reason for b in begun if isinstance(b, NotUnderstood)), "say it again")
    return f"“{' '.join(strange)}” has no meaning here{hint}, nothing of this was taken: {wish}"


def _statement(
    draft: Draft, sayings: Sayings, lexicon: Lexicon, words: Sequence[HeardWord]
) -> Statement:
    said = words_at(words, draft.places)
    if isinstance(draft, ContextDraft):
        if draft.doubtful:
            return NotUnderstood(said, f"“{draft.doubtful}” has two meanings: say it again")
        return ContextSaid(said, draft.key, draft.value, draft.corrects)
    if isinstance(draft, ReadingDraft):
        return _reading(draft, sayings, lexicon, said)
    return draft.make(said, draft.corrects)


def _reading(
    draft: ReadingDraft, sayings: Sayings, lexicon: Lexicon, words: tuple[HeardWord, ...]
) -> Statement:
    number = draft.number
    if refusal := draft.refusal or number.refusal:
        return NotUnderstood(words, refusal, _may_go_on(draft, draft.quantity, lexicon))
    quantity, position = _label(draft, lexicon)
    if quantity is None and position is not None:
        reason = f"“{position}” alone does not say of what: say the label with it"
        return NotUnderstood(words, reason)
    governs = sayings.governing(draft.at)
    context, unclear = governs.context, governs.unclear
    unit = next(iter(number.units)) if number.units and len(number.units) == 1 else None
    if quantity is not None:
        meant = lexicon.quantities[quantity]
        if position is not None and position not in meant.positions:
            return NotUnderstood(words, f"{meant.title} has no {position}")
        if number.units and meant.unit not in number.units:
            return NotUnderstood(words, f"{meant.title} is not measured in {number.unit_said}")
        unit = meant.unit if number.units else None
        if meant.decided_by:
            deciding = dict(context).get(meant.decided_by)
            quantity = lexicon.member(quantity, deciding) or quantity
        context = tuple(one for one in context if one[0] not in lexicon.deciding)
        unclear = tuple(
            key for key in unclear if key not in lexicon.deciding or key == meant.decided_by
        )
    value = Value(number.state, number.number, _may_go_on(draft, quantity, lexicon))
    return ReadingSaid(words, quantity, position, value, unit, context, unclear, draft.corrects)


def _label(draft: ReadingDraft, lexicon: Lexicon) -> tuple[str | None, str | None]:
    """The quantity said, carried on, or the position's own; the position said or the heading."""
    quantity, position = draft.quantity, draft.position
    if quantity is None and position is not None:
        carried = lexicon.quantities.get(draft.carried or "")
        if carried and position in carried.positions:
            return carried.id, position
        return lexicon.positions[position].quantity, position
    if quantity is not None and position is None:
        heading = draft.heading
        if heading and heading in lexicon.quantities[quantity].positions:
            return quantity, heading
    return quantity, position


def _may_go_on(draft: ReadingDraft, quantity: str | None, lexicon: Lexicon) -> bool:
    """A label alone may; a number, broken off or not, where a word more makes it another one."""
    if not draft.number.last or draft.number.state != "value":
        return False
    if not draft.number.texts:
        return True
    largest, decimals = lexicon.reach(quantity)
    return lexicon.numbers.may_go_on(draft.number.texts, largest, decimals)
