"""How well each ear hears one speaker and microphone: which phrases it understands, and which
words it takes for others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from assistant.audio.utterance import Utterance
from assistant.hearing.recogniser import Recogniser
from assistant.practice.phrases import HELD_OUT
from assistant.wording.parser import Parser
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    ObservationSaid,
    ReadingSaid,
    Statement,
)

Taken = tuple[str, str]
"""What was said, and what an ear took it for ("" for nothing)."""


@dataclass(frozen=True, slots=True)
class HeardPhrase:
    """``heard`` gives each ear's words, "" where it heard nothing."""

    said: str
    sound: Utterance
    heard: Mapping[str, str]

    @property
    def held_out(self) -> bool:
        return self.said in HELD_OUT


@dataclass(frozen=True, slots=True)
class EarResult:
    """``understood`` of ``phrases`` mean what was said, whatever the words; ``taken`` are words
    taken for others in those that do not, the most frequent first."""

    ear: str
    understood: int
    phrases: int
    taken: tuple[tuple[Taken, int], ...]


def hear_phrases(
    ears: Iterable[Recogniser], said: Iterable[tuple[str, Utterance]]
) -> tuple[HeardPhrase, ...]:
    """Each phrase through each ear. Raises HearingError where an ear fails."""
    listening = list(ears)
    return tuple(
        HeardPhrase(words, sound, {ear.name: _words(ear, sound) for ear in listening})
        for words, sound in said
    )


def results(phrases: Sequence[HeardPhrase], parser: Parser) -> tuple[EarResult, ...]:
    """One for each ear, in the ears' order."""
    names = list(phrases[0].heard) if phrases else []
    return tuple(_result(ear, phrases, parser) for ear in names)


def understood(said: str, heard: str, parser: Parser) -> bool:
    """Whether the words mean what was said: "one oh two" and "one hundred and two" do."""
    return _meaning(parser.parse_text(said)) == _meaning(parser.parse_text(heard))


def taken_for(said: str, heard: str) -> list[Taken]:
    """The words of ``said`` that came out as others, the stretches that differ side by side."""
    a, b = said.split(), heard.split()
    return [
        (" ".join(a[code.src_start : code.src_end]), " ".join(b[code.dest_start : code.dest_end]))
        for code in Levenshtein.opcodes(a, b)
        if code.tag != "equal"
    ]


def _result(ear: str, phrases: Sequence[HeardPhrase], parser: Parser) -> EarResult:
    taken: Counter[Taken] = Counter()
    right = 0
    for phrase in phrases:
        heard = phrase.heard[ear]
        if understood(phrase.said, heard, parser):
            right += 1
        else:
            taken.update(taken_for(phrase.said, heard))
    return EarResult(ear, right, len(phrases), tuple(taken.most_common()))


def _words(ear: Recogniser, sound: Utterance) -> str:
    hypotheses = ear.hear(sound).hypotheses
    return hypotheses[0].text if hypotheses else ""


def _meaning(statements: Sequence[Statement]) -> list[tuple[object, ...]]:
    return [_one(statement) for statement in statements]


def _one(said: Statement) -> tuple[object, ...]:
    match said:
        case ReadingSaid():
            value = said.value.state, said.value.number
            return "reading", said.quantity, said.position, value, said.context, said.corrects
        case ContextSaid():
            return "context", said.key, said.value
        case ObservationSaid():
            return "observation", said.item, said.value
        case CommandSaid():
            return "command", said.command, said.argument
        case _:
            return "other", said.heard
