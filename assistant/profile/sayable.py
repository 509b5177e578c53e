"""Builds the graph of everything that may be said with a profile: readings in one breath with
their contexts, corrections, observations, commands, and a bare number as an answer.

Free words (the text of a note, the customer's complaint) are not in it: they are for an open
vocabulary.
"""

from __future__ import annotations

from collections import defaultdict

from assistant.profile.graph_builder import Builder
from assistant.profile.number_graph import add_number, add_pairs
from assistant.profile.schema import Command, Observation, Profile, Quantity, SpokenWords
from assistant.profile.word_graph import WordGraph

IDENTIFIER_LENGTH = 10


def word_graph(profile: Profile, spoken: SpokenWords) -> WordGraph:
    """The sayable phrases of ``profile``, with the numbers and commands of ``spoken``.

    Every whole path is words that ``wording.Parser`` understands. Numbers have up to four digits
    and always a sign if one is said; a quantity that shows no decimals takes none.
    """
    return _Sayable(profile, spoken).graph()


class _Sayable:
    """``clause`` is where a reading, context or observation may start, ``reading`` a reading only;
    ``label`` is where its label does, ``seen`` what was seen or done; ``said`` is where one has
    ended, ``whole`` where an utterance must end."""

    def __init__(self, profile: Profile, spoken: SpokenWords) -> None:
        self.profile = profile
        self.spoken = spoken
        self.build = Builder()
        states = (self.build.state() for _ in range(6))
        self.clause, self.reading, self.label, self.seen, self.said, self.whole = states
        self.deciding = {q.decided_by for q in profile.quantity if q.decided_by}

    def graph(self) -> WordGraph:
        build = self.build
        build.finals |= {self.said, self.whole}
        build.fillers |= set(self.spoken.before_label)
        build.arc(build.start, "", self.clause)
        build.arc(self.clause, "", self.reading)
        build.arc(self.reading, "", self.label)
        build.phrases(self.reading, self.spoken.before_label, self.label)
        build.arc(self.clause, "", named := build.state())
        build.phrases(self.clause, self.spoken.before_label, named)
        build.arc(named, "", self.seen)
        lead_ins = self.spoken.before_context(self.profile.profile.machine)
        build.phrases(named, lead_ins, self.seen)
        build.arc(self.said, "", self.clause)
        build.arcs(self.said, self.spoken.numbers.joiner, self.reading)
        self._add_readings()
        self._add_contexts()
        self._add_bare_numbers()
        for observation in self.profile.observation:
            self._add_observation(observation)
        for command in self.spoken.command:
            self._add_command(command)
        return build.graph()

    def _add_readings(self) -> None:
        """Quantities that are said alike but for their names share one copy of the number."""
        alike: dict[tuple[object, ...], list[Quantity]] = defaultdict(list)
        for quantity in self.profile.quantity:
            alike[quantity.decimals, quantity.unit_spoken, quantity.positions].append(quantity)
        for quantities in alike.values():
            self._add_alike(quantities)

    def _add_alike(self, quantities: list[Quantity]) -> None:
        number = self.build.state()
        self._add_names(quantities, self.label, number)
        self._add_counted(quantities[0], number)
        self._add_in_contexts(quantities, number)
        if quantities[0].positions:
            self._add_value_first(quantities)

    def _add_names(self, quantities: list[Quantity], source: int, named: int) -> None:
        """label [position] · position [label] · wire position."""
        build, labelled = self.build, self.build.state()
        labels = [label for q in quantities for label in (*q.spoken, *self._decided(q))]
        build.phrases(source, labels, labelled)
        build.arc(labelled, "", named)
        ids = {q.id for q in quantities}
        for position in self.profile.position:
            if position.id not in quantities[0].positions:
                continue
            placed = build.state()
            build.phrases(source, position.spoken, placed)
            build.phrases(placed, labels, named)
            build.phrases(labelled, position.spoken, named)
            if position.quantity in ids:
                build.arc(placed, "", named)
                for wire in self._deciding_words(position.quantity):
                    build.phrase(source, wire, placed_after := build.state())
                    build.phrases(placed_after, position.spoken, named)

    def _add_value_first(self, quantities: list[Quantity]) -> None:
        """ "One oh two on the front guide and ninety eight on the rear", at the beginning only: a
        number behind a number would be one with it."""
        build, like = self.build, quantities[0]
        value, valued, label, named = (build.state() for _ in range(4))
        build.arc(build.start, "", value)
        self._add_number(like.decimals, like.unit_spoken, value, valued)
        for link in self.spoken.value_first:
            build.phrase(valued, link, linked := build.state())
            build.arc(linked, "", label)
            build.phrases(linked, self.spoken.before_label, label)
        self._add_names(quantities, label, named)
        build.arc(named, "", self.whole)
        build.arcs(named, self.spoken.numbers.joiner, value)
        for context in self.profile.context:
            if context.id not in self.deciding:
                for choice in context.value:
                    build.phrases(named, choice.spoken, self.whole)

    def _add_counted(self, like: Quantity, number: int) -> int:
        """A number, its unit, and its correction in the same breath; returns where it ends."""
        build = self.build
        figures, counted = build.state(), build.state()
        build.arc(number, "", figures)
        build.phrases(number, self.spoken.before_number, figures)
        self._add_number(like.decimals, like.unit_spoken, figures, counted)
        build.arc(counted, "", self.said)
        for command in self.spoken.command:
            if command.takes == "statement":
                build.phrases(counted, command.spoken, figures)
        return counted

    def _add_in_contexts(self, quantities: list[Quantity], number: int) -> None:
        """A needed context between label and number, and the label's next number in another:
        "contact voltage open 28.1 loaded 24"."""
        needs = {key for quantity in quantities for key in quantity.needs}
        for context in self.profile.context:
            if context.id not in needs:
                continue
            inside = {value.id: self.build.state() for value in context.value}
            counted = {key: self._add_counted(quantities[0], inside[key]) for key in inside}
            for value in context.value:
                before = [counted[key] for key in counted if key != value.id]
                for state in (number, *before):
                    self.build.phrases(state, value.spoken, inside[value.id])

    def _add_number(self, decimals: int, units: tuple[str, ...], source: int, target: int) -> None:
        build, figures = self.build, self.build.state()
        add_number(build, self.spoken.numbers, source, figures, decimals)
        build.arc(figures, "", target)
        build.phrases(figures, units, target)
        build.phrases(source, (*self.spoken.no_reading, *self.spoken.off_scale), target)

    def _deciding_words(self, quantity: str | None) -> list[str]:
        """Words that pick among the members of a quantity ("guide wire")."""
        for q in self.profile.quantity:
            if q.id == quantity and q.decided_by:
                return [
                    phrase
                    for context in self.profile.context
                    if context.id == q.decided_by
                    for value in context.value
                    if value.id in q.members
                    for phrase in value.spoken
                ]
        return []

    def _decided(self, quantity: Quantity) -> list[str]:
        """A quantity's names with the word before them that decides ("guide loop signal")."""
        return [
            f"{word} {label}"
            for word in self._deciding_words(quantity.id)
            for label in quantity.spoken
        ]

    def _add_contexts(self) -> None:
        """After a deciding context ("guide") no reading may follow, or it would be a label."""
        build, decided = self.build, self.build.state()
        build.arc(decided, "", self.whole)
        for context in self.profile.context:
            decides = context.id in self.deciding
            for value in context.value:
                build.phrases(self.seen, value.spoken, decided if decides else self.said)
                if not decides:
                    build.phrases(decided, value.spoken, self.whole)
        for event in self.profile.event:
            self.build.phrases(self.seen, event.spoken, self.said)

    def _add_bare_numbers(self) -> None:
        """An answer to a question: any number, any unit."""
        units = tuple(dict.fromkeys(u for q in self.profile.quantity for u in q.unit_spoken))
        self._add_number(2, units, self.build.start, self.whole)

    def _add_observation(self, observation: Observation) -> None:
        if observation.kind == "text":
            return
        asked = self.build.state()
        self.build.phrases(self.seen, observation.spoken, asked)
        if observation.kind == "identifier":
            self._add_identifier(asked, self.said)
        if observation.kind == "choice":
            choosing = self.build.state()
            self.build.arc(asked, "", choosing)
            self.build.phrases(asked, self.spoken.before_choice, choosing)
            for choice in observation.choice:
                self.build.phrases(choosing, choice.spoken, self.said)

    def _add_command(self, command: Command) -> None:
        build, called = self.build, self.build.state()
        build.phrases(build.start, command.spoken, called)
        if command.takes == "identifier":
            self._add_identifier(called, self.whole)
            return
        if command.takes == "round":
            for round_ in self.profile.round:
                build.phrases(called, round_.spoken, self.whole)
            return
        build.arc(called, "", self.whole)
        if command.takes == "statement":
            build.arc(called, "", self.clause)
        elif command.takes in ("label", "entry"):
            self._add_label(called)
        if command.takes == "entry":
            self._add_seen(called)

    def _add_label(self, source: int) -> None:
        for quantity in self.profile.quantity:
            labelled = self.build.state()
            self.build.phrases(source, quantity.spoken, labelled)
            self.build.arc(labelled, "", self.whole)
            for position in self.profile.position:
                if position.id in quantity.positions:
                    self.build.phrases(labelled, position.spoken, self.whole)
        for position in self.profile.position:
            self.build.phrases(source, position.spoken, self.whole)

    def _add_seen(self, source: int) -> None:
        for observation in self.profile.observation:
            named = self.build.state()
            self.build.phrases(source, observation.spoken, named)
            self.build.arc(named, "", self.whole)
            for choice in observation.choice:
                self.build.phrases(named, choice.spoken, self.said)

    def _add_identifier(self, source: int, target: int) -> None:
        """Letters, figures and figures in pairs, in any order."""
        build, numbers = self.build, self.spoken.numbers
        for _ in range(IDENTIFIER_LENGTH):
            after = build.state()
            build.phrases(source, (*self.spoken.letters, *numbers.digits), after)
            add_pairs(build, numbers, source, after)
            for word in numbers.repeat:
                build.phrase(source, word, repeated := build.state())
                build.phrases(repeated, numbers.digits, after)
            build.arc(after, "", target)
            source = after
