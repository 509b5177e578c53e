"""What each voice command does. A command that changes the record has been entered before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from assistant.conversation import Conversation
from assistant.diagnosis.finding import Diagnosis
from assistant.guided_round import GuidedRound
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading, Session
from assistant.record.session_record import SessionRecord
from assistant.report.contents import report_of
from assistant.speaking.advice import (
    chance,
    reply_to_cause,
    reply_to_finding,
    reply_to_next_check,
    spoken_sentence,
)
from assistant.speaking.label import shown_label, spoken_label
from assistant.speaking.readback import read_back
from assistant.speaking.reply import Reply
from assistant.wording.statement import CommandSaid


class Bench(Protocol):
    """What a command sees of the assistant: the job at the bench."""

    terse: bool

    @property
    def profile(self) -> Profile: ...
    @property
    def record(self) -> SessionRecord: ...
    @property
    def conversation(self) -> Conversation: ...
    @property
    def session(self) -> Session: ...
    @property
    def diagnosis(self) -> Diagnosis: ...


MOST_CAUSES = 3


def obey(said: CommandSaid, bench: Bench) -> list[Reply]:
    """Does what was commanded and gives what is said back."""
    return _COMMANDS.get(said.command, _not_here)(bench, said.argument)


def ask_step(bench: Bench) -> list[Reply]:
    """The question of the round's open step, or that the round is done; nothing without a round.
    A context that the step denies ("now docked" after "undocked") holds no longer: it is said
    again, or asked for."""
    under_way = bench.conversation.round
    if under_way is None:
        return []
    if denied := under_way.contradicted(bench.session.context):
        bench.record.lapse(*denied, reason="the next step of the round is taken in another one")
    if under_way.step is None:
        bench.conversation.round = None
    return [under_way.ask()]


def _say_again(bench: Bench, _: str) -> list[Reply]:
    return list(bench.conversation.last_said) or [_plain("nothing was said yet")]


def _read_back(bench: Bench, label: str) -> list[Reply]:
    readings = _fitting(bench, label)
    return list(read_back(readings, bench.profile)) or [_plain("no such reading yet")]


def _affirm(bench: Bench, _: str) -> list[Reply]:
    question = bench.conversation.question
    if question is None:
        return [_plain("nothing is asked")]
    entry = bench.record.confirm(question.id, "affirm")
    bench.conversation.answered()
    confirmed = [r for r in bench.session.readings if r.id == entry.id]
    return [*read_back(confirmed, bench.profile)]


def _negative(bench: Bench, _: str) -> list[Reply]:
    question = bench.conversation.question
    if question is None:
        return [_plain("nothing is asked")]
    bench.record.withdraw(question.id, "negative")
    bench.conversation.answered()
    bench.conversation.ask_for(question.quantity, question.position)
    shown = shown_label(bench.profile, question.quantity, question.position)
    spoken = spoken_label(bench.profile, question.quantity, question.position)
    return [Reply(f"withdrawn: say again {shown}", f"say again {spoken}", "asked")]


def _disregard(bench: Bench, label: str) -> list[Reply]:
    items = _entries(bench, label)
    if not items:
        return [_plain("no such entry to withdraw")]
    last = max(items, key=lambda item: int(item.id))
    bench.record.withdraw(last.id, "disregard")
    if isinstance(last, Observation):
        seen = _seen(bench.profile, last)
        return [Reply(f"withdrawn: {seen}", f"withdrawn, {seen}", "accepted", (last.id,))]
    if bench.conversation.question is not None and bench.conversation.question.id == last.id:
        bench.conversation.answered()
    [back] = read_back([last], bench.profile)
    return [Reply(f"withdrawn: {back.shown}", f"withdrawn, {back.spoken}", "accepted", (last.id,))]


def _stand_by(bench: Bench, _: str) -> list[Reply]:
    bench.conversation.standing_by = True
    return [_plain("standing by, say go ahead")]


def _go_ahead(bench: Bench, _: str) -> list[Reply]:
    bench.conversation.standing_by = False
    return [_plain("listening")]


def _terse(bench: Bench, _: str) -> list[Reply]:
    bench.terse = True
    return [_plain("terse read back")]


def _in_full(bench: Bench, _: str) -> list[Reply]:
    bench.terse = False
    return [_plain("full read back")]


def _next_check(bench: Bench, _: str) -> list[Reply]:
    """The best check; once there is a verdict or a repair, what the report says is to be done."""
    diagnosis = bench.diagnosis
    if diagnosis.next_checks and not diagnosis.repairs:
        return [reply_to_next_check(diagnosis.next_checks[0])]
    report = report_of(bench.session, bench.profile, diagnosis)
    if not report.action:
        return [reply_to_next_check(None)]
    caution = f"caution: {report.caution} " if report.caution else ""
    return [_plain(f"{caution}{report.action}")]


def _causes(bench: Bench, _: str) -> list[Reply]:
    """The ranking; "why" gives the reasons, which for three causes take a minute to say."""
    first, *others = bench.diagnosis.causes[:MOST_CAUSES] or [None]
    if first is not None:
        first = replace(first, reasons_for=(), reasons_against=())
    then = (f"then: {other.title}, {chance(other.probability)}." for other in others if other)
    return [reply_to_cause(first), *map(_plain, then)]


def _why(bench: Bench, _: str) -> list[Reply]:
    """The finding on what was said last, and the likeliest cause."""
    flagged = [f for f in bench.diagnosis.findings if f.flagged]
    if not flagged:
        return [_plain("nothing is out of tolerance")]
    said = {reading.id: reading.order for reading in bench.session.readings}
    said |= {seen.id: seen.order for seen in bench.session.observations}
    latest = max(
        reversed(flagged), key=lambda f: max(said.get(name, (False, 0)) for name in f.about)
    )
    likeliest = next(iter(bench.diagnosis.causes), None)
    return [reply_to_finding(latest, bench.profile), reply_to_cause(likeliest)]


def _open_questions(bench: Bench, _: str) -> list[Reply]:
    waiting = bench.session.open_questions
    return list(read_back(waiting, bench.profile)) or [_plain("nothing is open")]


def _compare(bench: Bench, label: str) -> list[Reply]:
    proofs = bench.diagnosis.repairs
    if not proofs:
        return [_plain("nothing was measured after the repair yet")]
    named = {entry.id for entry in _entries(bench, label)}
    replies = [_plain(p.reason) for p in proofs if not label or named.intersection(p.about)]
    return replies or [_plain("nothing was wrong with that before the repair")]


def _start_round(bench: Bench, name: str) -> list[Reply]:
    chosen = next((r for r in bench.profile.round if r.id == name), None)
    if chosen is None:
        names = ", ".join(r.spoken[0] for r in bench.profile.round)
        return [_plain(f"which round? {names}")]
    bench.conversation.round = GuidedRound(chosen, bench.profile)
    return ask_step(bench)


def _skip_step(bench: Bench, _: str) -> list[Reply]:
    under_way = bench.conversation.round
    if under_way is None:
        return [_plain("no round is under way")]
    under_way.skip()
    return ask_step(bench)


def _end_round(bench: Bench, _: str) -> list[Reply]:
    under_way, bench.conversation.round = bench.conversation.round, None
    if under_way is None:
        return [_plain("no round is under way")]
    while under_way.step is not None:
        under_way.skip()
    return [under_way.ask()]


def _close(bench: Bench, _: str) -> list[Reply]:
    """Lists what is open, says whether a repair is proven and whether the mower may be used, and
    gives the journal's head."""
    diagnosis, session = bench.diagnosis, bench.session
    replies = list(read_back(session.open_questions, bench.profile))
    if diagnosis.proven:
        replies.append(_plain("repair proven: all that was flagged was measured again and is gone"))
    elif diagnosis.repairs:
        open_still = [p.reason for p in diagnosis.repairs if p.outcome == "remains"]
        if not open_still and any(p.outcome == "not_measured" for p in diagnosis.repairs):
            open_still = [report_of(session, bench.profile, diagnosis).action]
        open_still = open_still or ["something new is flagged since the repair"]
        replies.append(_plain(f"repair not proven: {'; '.join(open_still)}"))
    if diagnosis.release_missing:
        lacking = ", ".join(diagnosis.release_missing)
        replies.append(_plain(f"not ready for use, still to do: {lacking}"))
    elif diagnosis.ready_for_use:
        replies.append(_plain("ready for use: safety release done"))
    else:
        replies.append(_plain("not ready for use: something is still flagged"))
    head = bench.record.finish()
    replies.append(Reply(f"closed, head {head}", f"closed, head {' '.join(head)}", "accepted"))
    return replies


def _job(bench: Bench, unit: str) -> list[Reply]:
    """The job was taken to the bench before its command was entered."""
    taken = len(bench.session.readings)
    context = ", ".join(bench.session.context.values())
    count = f"{taken} reading" + ("s" if taken > 1 else "")
    had = f", {count} so far" if taken else ""
    return [_plain(f"unit {unit}{had}" + (f", {context}" if context else ""))]


def _not_here(_: Bench, __: str) -> list[Reply]:
    return [_plain("that can't be done here")]


_COMMANDS: dict[str, Callable[[Bench, str], list[Reply]]] = {
    "affirm": _affirm,
    "causes": _causes,
    "close": _close,
    "compare": _compare,
    "disregard": _disregard,
    "end_round": _end_round,
    "go_ahead": _go_ahead,
    "in_full": _in_full,
    "job": _job,
    "negative": _negative,
    "next_check": _next_check,
    "open_questions": _open_questions,
    "read_back": _read_back,
    "say_again": _say_again,
    "skip_step": _skip_step,
    "stand_by": _stand_by,
    "start_round": _start_round,
    "terse": _terse,
    "why": _why,
}


def _fitting(bench: Bench, label: str) -> list[Reading]:
    """The readings that a label names, as far as it was said: "quantity@position", either half
    may be empty, and a quantity that stands for several names them all."""
    name, _, position = label.partition("@")
    members = (q.members.values() for q in bench.profile.quantity if q.id == name)
    names = {name, *(member for group in members for member in group)}
    return [
        reading
        for reading in bench.session.readings
        if (not name or reading.quantity in names) and position in ("", reading.position or "")
    ]


def _entries(bench: Bench, label: str) -> list[Reading | Observation]:
    """The readings and observations that a label names; "observation@choice" likewise."""
    seen = bench.session.observations
    named = [o for o in seen if label in ("", o.item, f"{o.item}@{o.value}")]
    return [*_fitting(bench, label), *named]


def _seen(profile: Profile, seen: Observation) -> str:
    item = next((o for o in profile.observation if o.id == seen.item), None)
    choices = {choice.id: choice.spoken[0] for choice in item.choice} if item else {}
    return f"{item.title if item else seen.item}: {choices.get(seen.value, seen.value)}"


def _plain(text: str) -> Reply:
    return Reply(text, spoken_sentence(text))
