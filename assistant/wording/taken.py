"""What an observation or a command takes with it: a choice, an identifier, a label, a round's
name, or the rest of the utterance as it was heard."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.hearing.heard import HeardWord
from assistant.wording.drafts import OtherDraft, Words
from assistant.wording.labels import Phrases
from assistant.wording.lexicon import Lexicon
from assistant.wording.statement import (
    CommandSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    Statement,
)

NOTE = "note"
"""The command whose words are kept as a note."""
AFTER_LABEL = "a number after this command is not clear: say the command alone, then the reading"


class Taken:
    """For one utterance; ``texts`` and ``places`` are its tokens' texts and heard words."""

    def __init__(
        self,
        lexicon: Lexicon,
        words: Sequence[HeardWord],
        texts: Sequence[str],
        places: Sequence[int],
    ) -> None:
        self._lexicon = lexicon
        self._words = words
        self._texts = texts
        self._places = places

    def observation(self, item: str, start: int, end: int) -> tuple[OtherDraft, int]:
        """The observation named at ``start`` to ``end``, and where what it takes ends."""
        observation = self._lexicon.observations[item]
        if observation.kind == "text":
            value, after = self._rest(end)
            missing = f"nothing was said after “{observation.spoken[0]}”"
        elif observation.kind == "identifier":
            value, after = self._lexicon.identifiers.read(self._texts, self._past_fillers(end))
            missing = f"say letters and figures, one by one, after “{observation.spoken[0]}”"
        else:
            value, after = self._one_of(self._lexicon.choices[item], end)
            said = ", ".join(choice.spoken[0] for choice in observation.choice)
            missing = f"say one of these after “{observation.spoken[0]}”: {said}"
        if not value:
            return self._not_understood(start, end, missing), end

        def make(words: Words, corrects: bool) -> Statement:
            return ObservationSaid(words, item, value, corrects)

        return OtherDraft(list(self._places[start:after]), make, item), after

    def command(self, command: str, start: int, end: int) -> tuple[OtherDraft, int]:
        """The command named at ``start`` to ``end``, and where what it takes ends."""
        takes, argument, after, missing = self._lexicon.commands[command].takes, "", end, ""
        if takes == "identifier":
            argument, after = self._lexicon.identifiers.read(self._texts, self._past_fillers(end))
            missing = "say its letters and figures, one by one, after it"
        elif takes == "text":
            argument, after = self._rest(end)
        elif takes in ("label", "entry"):
            argument, after = self._label(end)
        elif takes == "round":
            argument, after = self._one_of(self._lexicon.rounds, end)
            missing = f"say the name of a round after it: {', '.join(self._lexicon.round_names)}"
        if missing and not argument:
            return self._not_understood(start, end, missing), end

        def make(words: Words, _: bool) -> Statement:
            if command == NOTE and argument:
                return NoteSaid(words, argument)
            return CommandSaid(words, command, argument)

        unfinished = AFTER_LABEL if takes in ("label", "entry") else ""
        return OtherDraft(list(self._places[start:after]), make, unfinished=unfinished), after

    def _not_understood(self, start: int, end: int, reason: str) -> OtherDraft:
        broken_off = self._past_fillers(end) == len(self._texts)

        def make(words: Words, _: bool) -> Statement:
            return NotUnderstood(words, reason, broken_off)

        return OtherDraft(list(self._places[start:end]), make, unfinished=reason)

    def _rest(self, start: int) -> tuple[str, int]:
        places = sorted(set(self._places[start:]))
        return " ".join(self._words[place].text for place in places), len(self._texts)

    def _one_of(self, phrases: Phrases | None, start: int) -> tuple[str, int]:
        index = self._past_fillers(start)
        if phrases and index < len(self._texts) and (found := phrases.at(self._texts, index)):
            return found.meanings[0].id, index + found.length
        return "", start

    def _label(self, start: int) -> tuple[str, int]:
        """As "quantity@position" or "observation@choice", as far as it was said; a position alone
        stands for its own quantity."""
        quantity = position = ""
        first = self._past_fillers(start)
        if first < len(self._texts) and (found := self._lexicon.phrases.at(self._texts, first)):
            seen = found.of("observation")
            if seen and not found.of("quantity", "position"):
                choice, after = self._one_of(
                    self._lexicon.choices.get(seen.id), first + found.length
                )
                return (f"{seen.id}@{choice}" if choice else seen.id), after
        index = after = start
        while (index := self._past_fillers(index)) < len(self._texts):
            found = self._lexicon.phrases.at(self._texts, index)
            if found and not quantity and (said := found.of("quantity")):
                quantity = said.id
            elif found and not position and (said := found.of("position")):
                position = said.id
            else:
                break
            index = after = index + found.length
        if position and not quantity:
            quantity = self._lexicon.positions[position].quantity or ""
        return (f"{quantity}@{position}" if position else quantity), after

    def _past_fillers(self, index: int) -> int:
        return self._lexicon.past_fillers(self._texts, index)
