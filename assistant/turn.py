"""What passes through the assistant in one turn: what was heard, and what it brought about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.audio.utterance import Utterance
from assistant.diagnosis.finding import Finding
from assistant.hearing.heard import EarHearing, Heard
from assistant.record.entry import Entry
from assistant.settling.settled import Expectation, Settled
from assistant.speaking.reply import Reply
from assistant.unfinished import may_go_on
from assistant.wording.statement import CommandSaid


class Ears(Protocol):
    """Hears one utterance ear by ear: each step of the iterator wakes the next ear."""

    def listen(self, utterance: Utterance) -> Iterable[EarHearing]: ...


@dataclass(frozen=True, slots=True)
class Turn:
    """What one utterance or typed line brought about."""

    settled: tuple[Settled, ...] = ()
    entries: tuple[Entry, ...] = ()
    findings: tuple[Finding, ...] = ()
    replies: tuple[Reply, ...] = ()


@dataclass(frozen=True, slots=True)
class Attended:
    """An utterance with what the ears made of it, not yet taken down."""

    utterance: Utterance
    heard: Heard
    expectation: Expectation
    settled: tuple[Settled, ...]

    @property
    def may_go_on(self) -> bool:
        """Whether more words could still make another value of the last ones, or a value at all:
        nothing that was understood completely and left no doubt."""
        sure = all(one.status == "accepted" for one in self.settled)
        return not self.settled or not sure or may_go_on(self.settled)


def heard_by(utterance: Utterance, hearings: Sequence[EarHearing]) -> Heard:
    """The utterance as these ears heard it."""
    return Heard(
        utterance.source,
        utterance.start,
        utterance.end,
        utterance.quiet_before,
        utterance.quiet_after,
        tuple(hearings),
        utterance.unbroken,
        utterance.calm,
    )


def command_of(settled: Settled) -> CommandSaid | None:
    """The command that is to be obeyed; None for anything else, and for one that is asked about."""
    said = settled.statement
    return said if isinstance(said, CommandSaid) and settled.status != "asked" else None


def is_command(command: CommandSaid | None, name: str) -> bool:
    return command is not None and command.command == name
