"""Everything the parser looks up, made once from a profile and the spoken words."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.numbers.in_words import Numbers
from assistant.profile.schema import Profile, SpokenWords
from assistant.wording.identifiers import Identifiers
from assistant.wording.labels import Found, choice_phrases, label_phrases, round_phrases
from assistant.wording.near_labels import NearLabels
from assistant.wording.suggested import Suggested


class Lexicon:
    def __init__(self, profile: Profile, spoken: SpokenWords) -> None:
        self.numbers = Numbers(spoken.numbers)
        self.identifiers = Identifiers(spoken)
        self.value_first = frozenset(spoken.value_first)
        self.phrases = label_phrases(profile, spoken)
        self.choices = choice_phrases(profile)
        self.rounds = round_phrases(profile)
        self.quantities = {quantity.id: quantity for quantity in profile.quantity}
        self.positions = {position.id: position for position in profile.position}
        self.observations = {observation.id: observation for observation in profile.observation}
        self.events = {event.id: event for event in profile.event}
        self.commands = {command.id: command for command in spoken.command}
        self.deciding = frozenset(q.decided_by for q in profile.quantity if q.decided_by)
        self.symbols = {
            quantity.unit.lower(): quantity.unit_spoken[0]
            for quantity in profile.quantity
            if quantity.unit_spoken
        }
        self.known = frozenset().union(
            self.phrases.vocabulary,
            self.rounds.vocabulary,
            self.numbers.vocabulary,
            self.identifiers.vocabulary,
            *(choices.vocabulary for choices in self.choices.values()),
        )
        self._reach = {
            quantity.id: (max(map(abs, quantity.plausible)), quantity.decimals)
            for quantity in profile.quantity
        }
        labels = [
            *(quantity.spoken for quantity in profile.quantity),
            *(position.spoken for position in profile.position),
            *(observation.spoken for observation in profile.observation),
        ]
        label_words = {word for names in labels for said in names for word in said.split()}
        self.near = NearLabels(label_words - self.numbers.vocabulary, self.known)
        self.suggested = Suggested(
            (
                *labels,
                *(value.spoken for context in profile.context for value in context.value),
                *(event.spoken for event in profile.event),
                *(command.spoken for command in spoken.command),
            )
        )
        self.round_names = tuple(round_.spoken[0] for round_ in profile.round)

    def phrase_at(self, texts: Sequence[str], index: int) -> Found | None:
        """The longest phrase here, but a shorter one where only that leaves a phrase or number
        after it: "left wheel" is a position, and "left" in "left wheel current"."""
        longest = self.phrases.at(texts, index)
        if longest is None or longest.length == 1 or longest.of("observation", "command"):
            return longest
        found = self.phrases.all_at(texts, index)
        return next((f for f in found if self._begins(texts, index + f.length)), longest)

    def past_fillers(self, texts: Sequence[str], index: int) -> int:
        """Where the first phrase from here on stands that carries something."""
        while (
            index < len(texts)
            and (found := self.phrases.at(texts, index))
            and all(meaning.kind == "filler" for meaning in found.meanings)
        ):
            index += found.length
        return index

    def _begins(self, texts: Sequence[str], index: int) -> bool:
        return (
            index >= len(texts)
            or self.phrases.at(texts, index) is not None
            or self.numbers.run(texts, index) > index
        )

    def meant(self, text: str) -> str:
        """A token's text, or the label word it surely stands for."""
        return text if text in self.known else self.near.meant(text) or text

    def member(self, quantity: str, value: str | None) -> str | None:
        """The quantity that the deciding context's ``value`` picks, None where it picks none."""
        return self.quantities[quantity].members.get(value or "")

    def decides(self, generic: str, member: str) -> bool:
        """Whether ``generic`` stands for ``member`` among others ("loop signal", "guide")."""
        return member in self.quantities[generic].members.values()

    def reach(self, quantity: str | None) -> tuple[float, int]:
        """The largest plausible number without its sign, and the most decimals; for a bare number
        those of all quantities."""
        if quantity is not None:
            return self._reach[quantity]
        return max(r for r, _ in self._reach.values()), max(d for _, d in self._reach.values())
