"""What was said so far in one breath, and how later words of the breath mend it.

"front one oh two correction one twenty" is front 120 and nothing else. A correction names the
label and the new value, or the value alone (the last reading's), or the label alone. Where it could
mean two things it is refused, and what it might have corrected with it:

    front one oh two correction one twenty          front 120
    front one oh two correction rear                rear 102
    front one oh two correction rear one oh two     rear 102 (the same number: the label was wrong)
    front one oh two correction rear ninety         refused (a wrong label, or another reading?)
    front one oh two rear ninety correction front one twenty      front 120, rear 90
    correction front one twenty                     front 120, in place of an earlier reading
"""

from __future__ import annotations

from assistant.wording.drafts import (
    ContextDraft,
    Draft,
    Label,
    Number,
    OtherDraft,
    ReadingDraft,
    Words,
)
from assistant.wording.statement import CommandSaid, NotUnderstood, Statement

NO_NUMBER = "no number was said after this label"
TWO_NUMBERS = "two numbers were said after one label"
OTHER_LABEL = (
    "the correction names a label that was not said just before: say label and value again"
)
NOTHING_AFTER = "nothing was said after the correction: say label and value again"


class Corrections:
    """``drafts`` is what stands; ``mending`` the places of a correction that waits for what is
    right."""

    def __init__(self) -> None:
        self.drafts: list[Draft] = []
        self.mending: list[int] = []
        self._command = ""
        self._before: list[int] = []
        self._corrects = False

    def correction(self, command: str, places: list[int]) -> None:
        """At the start it marks all that follows; later on it mends what was said before it."""
        if self.drafts:
            self.mending += places
            return
        self._command, self._corrects = command, True
        self._before += places

    def reading(self, draft: ReadingDraft) -> None:
        labelled = draft.position is not None or draft.quantity is not None
        if self.mending and self._mend_reading(draft, labelled):
            return
        last = self._last_reading()
        if labelled or self.mending:
            self._add(draft)
        elif last is not None and self._context_changed_after(last):
            draft.quantity, draft.position = last.quantity, last.position
            draft.carried, draft.heading = last.carried, last.heading
            self._add(draft)
        elif last is not None:
            self._second_number(last, draft)
        elif self.drafts and isinstance(other := self.drafts[-1], OtherDraft) and other.unfinished:
            self._spoil(other, other.unfinished, draft.places)
        else:
            self._add(draft)

    def context(self, draft: ContextDraft) -> None:
        if draft.value is None and not draft.doubtful:
            self._end_mending()  # an event says what happened, not what a context should have been
        if self.mending:
            for said in reversed(self.drafts):
                if isinstance(said, ContextDraft) and said.key == draft.key and said.value:
                    said.value, said.doubtful = draft.value, draft.doubtful
                    said.places += [*self.mending, *draft.places]
                    self.mending = []
                    return
        self._add(draft)

    def other(self, draft: OtherDraft) -> None:
        if not draft.item:
            self._end_mending()
        if self.mending:
            for said in reversed(self.drafts):
                if isinstance(said, OtherDraft) and said.item == draft.item:
                    said.make = draft.make
                    said.places += [*self.mending, *draft.places]
                    self.mending = []
                    return
        self._add(draft)

    def relabelled(self, label: Label) -> bool:
        """A label alone after a correction: the last reading gets it."""
        last = self._last_reading()
        if not self.mending or last is None:
            return False
        self._relabel(last, label)
        last.places += [*self.mending, *label.places]
        self.mending = []
        return True

    def without_number(self, label: Label, at: int, last: bool) -> None:
        """``at`` is the label's place among the contexts; ``last``: the utterance ends with it."""
        number = Number(refusal=label.refusal or NO_NUMBER, last=last and not label.refusal)
        self._add(ReadingDraft(label.places, at, label.quantity, label.position, number))

    def end(self) -> None:
        """Nothing more comes: a correction that waits leaves what it meant in doubt."""
        self._end_mending()
        if self._before:
            command = self._command
            self._add(OtherDraft([], lambda words, _: CommandSaid(words, command)))

    def _end_mending(self) -> None:
        if self.mending:
            self._spoil(self._last_said(), NOTHING_AFTER, self.mending, unfinished=True)
            self.mending = []

    def _mend_reading(self, draft: ReadingDraft, labelled: bool) -> bool:
        last = self._last_reading()
        if last is None:
            return False
        target: ReadingDraft | None = last
        if labelled:
            target = self._same_label(draft)
            if target is None and last.number.same(draft.number):
                target = last
        places = [*self.mending, *draft.places]
        self.mending = []
        if target is None:
            self._spoil(last, OTHER_LABEL, places)
            return True
        self._relabel(
            target, Label(quantity=draft.quantity, position=draft.position, refusal=draft.refusal)
        )
        target.number = draft.number
        target.places += places
        return True

    def _same_label(self, draft: ReadingDraft) -> ReadingDraft | None:
        for said in reversed(self.drafts):
            if (
                isinstance(said, ReadingDraft)
                and draft.position in (None, said.position or said.heading)
                and draft.quantity in (None, said.quantity or said.carried)
            ):
                return said
        return None

    def _relabel(self, target: ReadingDraft, label: Label) -> None:
        target.quantity = label.quantity or target.quantity
        target.position = label.position or target.position
        target.refusal = label.refusal or target.refusal

    def _context_changed_after(self, last: ReadingDraft) -> bool:
        """As in "contact voltage open 28.1, loaded 24": the label holds for both."""
        index = next(i for i, one in enumerate(self.drafts) if one is last)
        before = [d for d in self.drafts[:index] if isinstance(d, ContextDraft) and d.value]
        after = [d for d in self.drafts[index:] if isinstance(d, ContextDraft) and d.value]
        return bool(after) and all(
            any(old.key == new.key and old.value != new.value for old in before) for new in after
        )

    def _second_number(self, last: ReadingDraft, draft: ReadingDraft) -> None:
        """The same number said twice is one reading; two numbers are none."""
        if last is self.drafts[-1] and last.number.same(draft.number) and not draft.number.units:
            last.places += draft.places
            last.number.last = draft.number.last
            return
        self._spoil(last, TWO_NUMBERS, draft.places)

    def _spoil(
        self, draft: Draft, reason: str, places: list[int], unfinished: bool = False
    ) -> None:
        """Makes ``draft``, all that was said after it, and ``places`` not understood."""
        index = next(i for i, one in enumerate(self.drafts) if one is draft)
        places = [*(place for one in self.drafts[index:] for place in one.places), *places]

        def make(words: Words, _: bool) -> Statement:
            return NotUnderstood(words, reason, unfinished)

        if isinstance(draft, ReadingDraft):
            draft.places, draft.refusal = places, draft.refusal or draft.number.refusal or reason
            draft.number = Number(last=unfinished)
            self.drafts[index:] = [draft]
        else:
            self.drafts[index:] = [OtherDraft(places, make, unfinished=reason)]

    def _last_said(self) -> Draft:
        """The last draft; of an event, which ends several contexts, the first."""
        last = self.drafts[-1]
        if not isinstance(last, ContextDraft):
            return last
        return next(d for d in self.drafts if isinstance(d, ContextDraft) and d.at == last.at)

    def _last_reading(self) -> ReadingDraft | None:
        return next((d for d in reversed(self.drafts) if isinstance(d, ReadingDraft)), None)

    def _add(self, draft: Draft) -> None:
        draft.places = [*self._before, *self.mending, *draft.places]
        draft.corrects = self._corrects or bool(self.mending)
        self._before, self.mending = [], []
        self.drafts.append(draft)
