"""Walks over one utterance, token by token, and drafts what is said in it.

A label waits for its number; a label carries on until another is said; contexts are gathered;
commands and observations take what belongs to them. ``corrections.py`` mends what was said wrong,
``finish.py`` makes statements of the drafts.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.hearing.heard import HeardWord
from assistant.numbers.integers import Refusal
from assistant.wording.corrections import Corrections
from assistant.wording.drafts import ContextDraft, Label, Number, OtherDraft, ReadingDraft
from assistant.wording.labels import Found, Meaning
from assistant.wording.lexicon import Lexicon
from assistant.wording.taken import Taken
from assistant.wording.tokens import Token

TWO_LABELS = "two labels were said before one number: say one reading after the other"


class Breath:
    """One utterance. After ``read``, ``drafts`` holds what was said, in order, and ``unknown``
    the words that belong to nothing."""

    def __init__(
        self, lexicon: Lexicon, words: Sequence[HeardWord], tokens: Sequence[Token]
    ) -> None:
        self.lexicon = lexicon
        self.texts = [lexicon.meant(token.text) for token in tokens]
        self.places = [token.place for token in tokens]
        self.unknown: list[int] = []
        self.label = Label()
        self.carried: str | None = None
        self.heading: str | None = None
        self.said = Corrections()
        self.taken = Taken(lexicon, words, self.texts, self.places)

    def read(self) -> None:
        index = 0
        while index < len(self.texts):
            index = self._step(index)
        self._end_label(last=True)
        self.said.end()

    def _step(self, index: int) -> int:
        end = self.lexicon.numbers.run(self.texts, index)
        if end == index and self._sign_broken_off(index):
            end = index + 1
        found = self.lexicon.phrase_at(self.texts, index)
        if end > index and (found is None or found.length <= end - index):
            return self._number(index, end)
        if found is None:
            self.unknown.append(self.places[index])
            return index + 1
        return self._phrase(found, index, index + found.length)

    def _sign_broken_off(self, index: int) -> bool:
        """As in "front minus"; with no label before it, "negative" is a command."""
        last = index + 1 == len(self.texts)
        return last and not self.label.empty and self.lexicon.numbers.is_sign(self.texts[index])

    def _phrase(self, found: Found, index: int, end: int) -> int:
        """Where a phrase has several meanings, an observation needs its choice after it, and a
        label comes before a context."""
        places = self.places[index:end]
        if observation := found.of("observation"):
            draft, after = self.taken.observation(observation.id, index, end)
            if not draft.unfinished or not found.of("quantity", "position"):
                self._other(draft)
                return after
        if quantity := found.of("quantity"):
            self._quantity(quantity, found.of("context"), places)
        elif position := found.of("position"):
            self._position(position, places)
        elif state := found.of("state"):
            no_number = state.id == "no_reading"
            self._reading(places, Number("no_reading" if no_number else "off_scale"), index)
        elif context := found.of("context"):
            self._context(ContextDraft(places, index, context.id, context.value))
        elif mistakable := found.of("mistakable"):
            self._context(ContextDraft(places, index, mistakable.id, None, doubtful=found.phrase))
        elif event := found.of("event"):
            self._event(event, places, index)
        elif command := found.of("command"):
            return self._command(command, index, end)
        elif not found.of("filler"):
            self.unknown += places
        return end

    def _number(self, index: int, end: int) -> int:
        said = tuple(self.texts[index:end])
        number = self.lexicon.numbers.read(said)
        made = Number(texts=said, last=end == len(self.texts))
        if isinstance(number, Refusal):
            made.refusal = number.reason
        else:
            made.number = number
        unit = self.lexicon.phrases.at(self.texts, end) if end < len(self.texts) else None
        if unit and unit.of("unit"):
            made.units = frozenset(m.id for m in unit.meanings if m.kind == "unit")
            made.unit_said = unit.phrase
            end += unit.length
        self._reading(self.places[index:end], made, index)
        return end

    def _reading(self, places: list[int], number: Number, index: int) -> None:
        label, self.label = self.label, Label()
        places = [*label.places, *places]
        if label.quantity:
            self.carried = label.quantity
            self.heading = label.position if label.position_first else self.heading
        if label.position and not label.position_first:
            self.heading = None
        draft = ReadingDraft(
            places,
            index,
            label.quantity,
            label.position,
            number,
            carried=self.carried,
            heading=None if label.empty else self.heading,
            refusal=label.refusal,
        )
        self.said.reading(draft)

    def _quantity(self, said: Meaning, wire: Meaning | None, places: list[int]) -> None:
        label, quantity = self.label, said.id
        if label.quantity is None or "quantity" in label.replaceable:
            label.wire = (wire.id, wire.value) if wire else None
            label.quantity = quantity
            label.position_first = label.position is not None
            label.replaceable.discard("quantity")
        elif self.lexicon.decides(label.quantity, quantity):
            label.quantity = quantity
        elif quantity != label.quantity and not self.lexicon.decides(quantity, label.quantity):
            label.refusal = TWO_LABELS
        if label.places:
            label.wire = None
        label.places += places

    def _position(self, said: Meaning, places: list[int]) -> None:
        label = self.label
        if label.position is None or "position" in label.replaceable:
            label.position = said.id
            label.replaceable.discard("position")
        elif label.position != said.id:
            label.refusal = TWO_LABELS
        label.places += places
        label.wire = None

    def _context(self, draft: ContextDraft) -> None:
        """A context may stand between a label and its number."""
        if self.said.mending:
            self._end_label()
        if draft.key in self.lexicon.deciding:
            self.carried = None
        self.said.context(draft)

    def _event(self, said: Meaning, places: list[int], index: int) -> None:
        self._end_label()
        for key in self.lexicon.events[said.id].ends:
            self.said.context(ContextDraft(list(places), index, key, None))

    def _command(self, said: Meaning, index: int, end: int) -> int:
        places = self.places[index:end]
        if self.lexicon.commands[said.id].takes == "statement":
            if self.label.empty:
                self.said.correction(said.id, places)
            else:
                self.label.places += places
                self.label.replaceable = {"quantity", "position"}
            return end
        draft, after = self.taken.command(said.id, index, end)
        self._other(draft)
        return after

    def _other(self, draft: OtherDraft) -> None:
        self._end_label()
        self.said.other(draft)

    def _end_label(self, last: bool = False) -> None:
        """A label that got no number: the wire's name alone is a context, the rest is told.
        ``last``: the utterance ends here."""
        label, self.label = self.label, Label()
        if label.empty or self.said.relabelled(label):
            return
        at = self.places.index(label.places[0])
        if label.wire and not label.refusal:
            self._context(ContextDraft(label.places, at, *label.wire))
            return
        self.said.without_number(label, at, last)
