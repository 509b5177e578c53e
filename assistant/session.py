"""The assistant at the bench: the stages in the order in which a reading passes them.

    audio → hearing → wording → settling → record → diagnosis → speaking

``hear`` takes an utterance, ``type`` a line of words; both give a turn: what was settled, what
was entered in the journal, what follows from it, and what is said back. Nothing is said back
before it is on the disk. "Unit …" opens the job of another mower or goes back to it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from assistant.audio.utterance import Utterance
from assistant.conversation import Conversation, Label, corrected_by, lapsing
from assistant.diagnosis.causes import fault_model
from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.finding import Diagnosis
from assistant.errors import RecordError
from assistant.going_on import open_again, recover, take_up
from assistant.hearing.heard import EarHearing, Heard, HeardWord
from assistant.hearing.typed import typed_heard
from assistant.jobs import Job, Jobs
from assistant.obey import ask_step, obey
from assistant.profile.schema import Profile
from assistant.record.entry import Entry
from assistant.record.session import Reading, Session
from assistant.record.session_record import SessionRecord
from assistant.settling.doubts import HARMLESS, Trusted, nobody
from assistant.settling.settle import no_ear_could_mend, settle
from assistant.settling.settled import Expectation, Settled
from assistant.speaking.advice import reply_to_finding
from assistant.speaking.readback import reply_to
from assistant.speaking.reply import Reply, each_question_once
from assistant.turn import Attended, Ears, Turn, command_of, heard_by, is_command
from assistant.unfinished import Lost, Unfinished, may_go_on
from assistant.wording.parser import Parser
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
    Statement,
)

JOB = "job"


class Assistant:
    """``open_record`` opens the record of a unit ("" while none was named). ``expected`` is the
    label that a bare number has while nothing else is open. ``terse``: an accepted reading is said
    back without its unit and context."""

    def __init__(
        self,
        open_record: Callable[[str], SessionRecord],
        profile: Profile,
        parser: Parser,
        ears: Ears | None = None,
        trusted: Trusted = nobody,
        expected: Label | None = None,
    ) -> None:
        self.profile = profile
        self.terse = False
        self._parser = parser
        self._ears = ears
        self._trusted = trusted
        self._expected = expected
        self._model = fault_model(profile)
        self._diagnosis: Diagnosis | None = None
        self._last_end: tuple[str, float] = ("", 0.0)
        self._unfinished: Unfinished | None = None
        self._lost = Lost()
        self._jobs = Jobs(open_record, lambda: Conversation(profile, expected))

    @property
    def jobs(self) -> tuple[Job, ...]:
        """All jobs opened so far."""
        return self._jobs.opened

    @property
    def record(self) -> SessionRecord:
        return self._jobs.current.record

    @property
    def conversation(self) -> Conversation:
        return self._jobs.current.conversation

    @property
    def session(self) -> Session:
        return self.record.session

    @property
    def diagnosis(self) -> Diagnosis:
        if self._diagnosis is None:
            self._diagnosis = diagnose(self.session, self.profile, self._model)
        return self._diagnosis

    def take_up(self, record: SessionRecord) -> Turn:
        """Goes on in a session that broke off."""
        return Turn(replies=take_up(record, self._jobs, self.profile))

    def not_recorded(self, error: RecordError) -> Turn:
        """After hearing or taking down raised this: opens the record again, and says so."""
        self._diagnosis, self._unfinished = None, None
        return Turn(replies=recover(error, self._jobs, self.profile))

    def close(self) -> None:
        """Lets go of all records; the sessions themselves stay open."""
        for job in self.jobs:
            job.record.release()

    def hear(self, utterance: Utterance) -> Turn:
        """Attends to an utterance and takes down what it said."""
        return self.take_down(self.attend(utterance))

    def attend(
        self, utterance: Utterance, go_on: Callable[[int], bool] = lambda _: True
    ) -> Attended:
        """Listens with one ear after the other until no further one could change the outcome, or
        until ``go_on``, given the number of ears that have heard it, says that it is no use.
        Takes nothing down, so that it may be done before the speech has surely ended."""
        if self._ears is None:
            raise ValueError("a session without ears takes typed lines only")
        self._lapse(utterance)
        hearings: list[EarHearing] = []
        if self._lost.just_before(utterance):
            utterance = replace(utterance, quiet_before=0.0, unbroken=False)
        heard = heard_by(utterance, hearings)
        expectation = self._expectation()
        settled: tuple[Settled, ...] = ()
        for hearing in self._ears.listen(utterance):
            hearings.append(hearing)
            heard = heard_by(utterance, hearings)
            settled = self._settle(heard, expectation)
            if not go_on(len(hearings)) or (len(hearings) > 1 and no_ear_could_mend(settled)):
                break
        return Attended(utterance, heard, expectation, self._gone_on(heard) or settled)

    def take_down(self, attended: Attended) -> Turn:
        """Enters what was attended to, if nothing else was taken down since. A RecordError goes to
        ``not_recorded``."""
        again = open_again(self._jobs, self.profile) if self._jobs.stopped else ()
        utterance, heard, settled = attended.utterance, attended.heard, attended.settled
        turn = self._take(settled, utterance)
        turn = replace(turn, replies=(*again, *turn.replies))
        words = any(ear.hypotheses for ear in heard.ears)
        lost = words and all(one.status == "nothing" for one in settled)
        self._lost = Lost(utterance.source, utterance.end) if lost else Lost()
        self._unfinished = None
        if may_go_on(settled) and turn.entries:
            last = turn.entries[-1].id
            self._unfinished = Unfinished(heard, attended.expectation, len(settled), last)
        return turn

    def type(self, line: str) -> Turn:
        """What is typed is heard for certain."""
        return self._take(self._settle(typed_heard(line), self._expectation()), None)

    def _expectation(self) -> Expectation:
        if self._jobs.is_open:
            return self.conversation.expectation(self.session)
        return Expectation({}, *(self._expected or (None, None)))

    def _settle(self, heard: Heard, expectation: Expectation) -> tuple[Settled, ...]:
        others = self._parser.mishearings
        return settle(heard, self._parse, expectation, self.profile, self._trusted, others)

    def _gone_on(self, heard: Heard) -> tuple[Settled, ...]:
        """The reading that goes on a number of the utterance before, () where none does."""
        before = self._unfinished
        if before is None:
            return ()
        question = self.conversation.question
        asked = question is not None and question.id == before.entry
        joined = before.with_next(heard, asked)
        if joined is None:
            return ()
        longer = before.continued(self._settle(joined, before.expectation))
        return () if longer is None else (longer,)

    def _take(self, settled: Sequence[Settled], sound: Utterance | None) -> Turn:
        if not settled:
            return Turn()
        known = set(self.diagnosis.findings) if self._jobs.is_open else set()
        for job in self.jobs:
            job.conversation.begin_turn()
        entries: list[Entry] = []
        replies: list[Reply] = []
        for one in settled:
            command = command_of(one)
            if self._is_over() and not (command and command.command in HARMLESS):
                self._jobs.set_aside()
                self._diagnosis = None
                known = set()
            if command is not None and command.command == JOB:
                self._jobs.turn_to(command.argument)
                self._diagnosis = None
                known = set(self.diagnosis.findings)
            if self.conversation.standing_by and not is_command(command, "go_ahead"):
                continue
            entered, said = self._enter(one, sound)
            entries += entered
            replies += said
        replies = replies or [reply_to(one, self.profile) for one in settled[:1] if entries]
        for job in self.jobs:
            job.conversation.end_turn()
        findings = tuple(f for f in self.diagnosis.findings if f not in known)
        replies += [reply_to_finding(f, self.profile) for f in findings if f.flagged]
        replies = each_question_once(replies)
        if replies and not any(is_command(command_of(one), "say_again") for one in settled):
            self.conversation.last_said = tuple(replies)
        return Turn(tuple(settled), tuple(entries), findings, tuple(replies))

    def _enter(self, settled: Settled, sound: Utterance | None) -> tuple[list[Entry], list[Reply]]:
        """One statement into the journal, and what is said back about it."""
        self._diagnosis = None
        said, talk, record = settled.statement, self.conversation, self.record
        source = sound.source if sound is not None else ""
        audio = record.keep_audio(sound.samples) if sound is not None else None
        replaced = self._reading(settled.answers) if settled.answers else None
        if settled.status != "accepted" and not isinstance(said, ReadingSaid):
            talk.keep_waiting(True)  # it is only asked back, so what was asked before still is
        if isinstance(said, ContextSaid):
            return self._enter_context(said, settled, source, audio)
        if settled.status == "asked" and isinstance(said, CommandSaid):
            return [], [reply_to(settled, self.profile)]
        entry = record.enter(settled, source=source, audio=audio)
        match said:
            case ReadingSaid() if settled.status != "nothing":
                taken = self._reading(entry.id)
                assert taken is not None
                talk.took(taken, settled)
                corrected = replaced if said.corrects else None
                replies = [reply_to(settled, self.profile, replaced=corrected, terse=self.terse)]
            case CommandSaid():
                talk.keep_waiting(said.command in HARMLESS)
                replies = obey(said, self)
            case _:
                replies = [reply_to(settled, self.profile)]
        if isinstance(said, ObservationSaid) and talk.round is not None:
            talk.round.took(said.item)
        if isinstance(said, (ReadingSaid, ObservationSaid)) and not talk.waiting:
            replies += ask_step(self)
        return [entry], replies

    def _enter_context(
        self, said: ContextSaid, settled: Settled, source: str, audio: str | None
    ) -> tuple[list[Entry], list[Reply]]:
        """A context also completes the readings that wait for it, or corrects those taken under
        the wrong one. One in doubt is not put in force, and the old one no longer holds; of what
        ends (the mower was moved) only what was known is told, and no question outlives it."""
        if settled.status == "asked":
            reason = f"heard for uncertain: {said.heard}"
            entries = self.record.lapse(said.key, reason=reason)
            return list(entries), [reply_to(settled, self.profile)]
        changes: Mapping[str, dict[str, Any]] = {}
        known = said.value is not None or said.key in self.session.context
        if said.value is None:
            self.conversation.waiting = ()
        elif said.corrects:
            changes = corrected_by(said.key, said.value, self.session.readings)
        else:
            changes = self.conversation.completed_by(said.key, said.value, self.session)
        entry = self.record.enter(settled, source=source, audio=audio, changes=changes)
        touched = [r for r in self.session.readings if r.id in changes]
        replies = [reply_to(settled, self.profile, touched=touched)] if known else []
        complete = [reading for reading in touched if not reading.missing]
        for reading in complete:
            self.conversation.complete(reading)
        return [entry], [*replies, *(ask_step(self) if complete else ())]

    def _parse(self, words: Sequence[HeardWord]) -> tuple[Statement, ...]:
        """In a guided round the answer may leave out the label of what was asked."""
        said = self._parser.parse(words)
        under_way = self.conversation.round if self._jobs.is_open else None
        if under_way is None or not all(isinstance(one, NotUnderstood) for one in said):
            return said
        return under_way.answer(words, self._parser.parse) or said

    def _lapse(self, utterance: Utterance) -> None:
        """Ends contexts that were not spoken under for longer than the profile lets them run."""
        source, end = self._last_end
        self._last_end = (utterance.source, utterance.end)
        if source != utterance.source:
            return
        gap = (utterance.start - end) / 60
        if keys := lapsing(self.profile, gap):
            self.record.lapse(*keys, reason=f"nothing was said for {gap:.0f} minutes")

    def _is_over(self) -> bool:
        """Whether the job at the bench was closed, and its head told."""
        return self._jobs.is_open and bool(self.session.closed)

    def _reading(self, entry_id: str) -> Reading | None:
        return next((r for r in reversed(self.session.readings) if r.id == entry_id), None)
