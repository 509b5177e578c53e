"""What each voice command does. A command that changes the record has been entered before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from assistant.answers import (
    as_it_is_left,
    asked_again,
    entries_of,
    likely_causes,
    next_check,
    plain,
    repair_compared,
    why,
)
from assistant.conversation import Conversation
from assistant.diagnosis.finding import Diagnosis
from assistant.guided_round import GuidedRound
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading, Session
from assistant.record.session_record import SessionRecord
from assistant.report.contents import Report, report_of
from assistant.report.entry_words import entry_words
from assistant.speaking.digits import spell
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


def obey(said: CommandSaid, bench: Bench) -> list[Reply]:
    """Does what was commanded and gives what is said back."""
    return _COMMANDS[said.command](bench, said.argument)


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
    return list(bench.conversation.last_said) or [plain("nothing was said yet")]


def _read_back(bench: Bench, label: str) -> list[Reply]:
    entries = entries_of(bench.session, bench.profile, label)
    back = [_back(bench, entry) for entry in sorted(entries, key=lambda entry: entry.order)]
    return back or [plain("no such entry yet")]


def _affirm(bench: Bench, _: str) -> list[Reply]:
    question = bench.conversation.question
    if question is None:
        return [plain("nothing is asked")]
    entry = bench.record.confirm(question.id, "affirm")
    bench.conversation.answered()
    confirmed = [r for r in bench.session.readings if r.id == entry.id]
    return [replace(back, tone="accepted") for back in read_back(confirmed, bench.profile)]


def _negative(bench: Bench, _: str) -> list[Reply]:
    question = bench.conversation.question
    if question is None:
        return [plain("nothing is asked")]
    bench.record.withdraw(question.id, "negative")
    bench.conversation.answered()
    bench.conversation.ask_for(question.quantity, question.position)
    shown = shown_label(bench.profile, question.quantity, question.position)
    spoken = spoken_label(bench.profile, question.quantity, question.position)
    return [Reply(f"withdrawn: say again {shown}", f"say again {spoken}", "asked")]


def _disregard(bench: Bench, label: str) -> list[Reply]:
    items = entries_of(bench.session, bench.profile, label)
    if not items:
        return [plain("no such entry to withdraw")]
    last = max(items, key=lambda item: item.order)
    bench.record.withdraw(last.id, "disregard")
    if bench.conversation.question is not None and bench.conversation.question.id == last.id:
        bench.conversation.answered()
    back = _back(bench, last)
    return [Reply(f"withdrawn: {back.shown}", f"withdrawn, {back.spoken}", "accepted", (last.id,))]


def _stand_by(bench: Bench, _: str) -> list[Reply]:
    bench.conversation.standing_by = True
    return [plain("standing by, say go ahead")]


def _go_ahead(bench: Bench, _: str) -> list[Reply]:
    bench.conversation.standing_by = False
    return [plain("listening")]


def _terse(bench: Bench, _: str) -> list[Reply]:
    bench.terse = True
    return [plain("terse read back")]


def _in_full(bench: Bench, _: str) -> list[Reply]:
    bench.terse = False
    return [plain("full read back")]


def _next_check(bench: Bench, _: str) -> list[Reply]:
    return next_check(_report(bench))


def _causes(bench: Bench, _: str) -> list[Reply]:
    return likely_causes(bench.diagnosis)


def _why(bench: Bench, _: str) -> list[Reply]:
    return why(bench.session, bench.profile, bench.diagnosis)


def _compare(bench: Bench, label: str) -> list[Reply]:
    return repair_compared(bench.session, bench.profile, bench.diagnosis, label)


def _open_questions(bench: Bench, _: str) -> list[Reply]:
    """The oldest that lacks a context comes last and waits for it, no other: they may have been
    taken in different ones."""
    questions = [*bench.session.open_questions]
    first = next((r for r in questions if r.missing and r.status == "accepted"), None)
    if first is not None:
        questions.remove(first)
        questions.append(first)
        bench.conversation.wait_for(first)
    return asked_again(_report(bench), questions) or [plain("nothing is open")]


def _start_round(bench: Bench, name: str) -> list[Reply]:
    chosen = next(r for r in bench.profile.round if r.id == name)
    bench.conversation.round = GuidedRound(chosen, bench.profile)
    return ask_step(bench)


def _skip_step(bench: Bench, _: str) -> list[Reply]:
    under_way = bench.conversation.round
    if under_way is None:
        return [plain("no round is under way")]
    under_way.skip()
    return ask_step(bench)


def _end_round(bench: Bench, _: str) -> list[Reply]:
    under_way, bench.conversation.round = bench.conversation.round, None
    if under_way is None:
        return [plain("no round is under way")]
    while under_way.step is not None:
        under_way.skip()
    return [under_way.ask()]


def _close(bench: Bench, _: str) -> list[Reply]:
    """Lists what is open, says whether a repair is proven and whether the mower may be used, and
    gives the journal's head."""
    replies = as_it_is_left(_report(bench))
    head = bench.record.finish()
    return [*replies, Reply(f"closed, head {head}", f"closed, head {' '.join(head)}", "accepted")]


def _job(bench: Bench, unit: str) -> list[Reply]:
    """The job was taken to the bench before its command was entered."""
    taken = len(bench.session.readings)
    context = ", ".join(bench.session.context.values())
    count = f"{taken} reading" + ("s" if taken > 1 else "")
    had = f", {count} so far" if taken else ""
    return [plain(f"unit {unit}{had}" + (f", {context}" if context else ""))]


def _correction_of_nothing(_: Bench, __: str) -> list[Reply]:
    return [replace(plain("correction of what? say label and value"), tone="asked")]


def _empty_note(_: Bench, __: str) -> list[Reply]:
    return [replace(plain("an empty note: say note, then your words"), tone="asked")]


_COMMANDS: dict[str, Callable[[Bench, str], list[Reply]]] = {
    "affirm": _affirm,
    "causes": _causes,
    "close": _close,
    "compare": _compare,
    "correction": _correction_of_nothing,
    "disregard": _disregard,
    "end_round": _end_round,
    "go_ahead": _go_ahead,
    "in_full": _in_full,
    "job": _job,
    "negative": _negative,
    "next_check": _next_check,
    "note": _empty_note,
    "open_questions": _open_questions,
    "read_back": _read_back,
    "say_again": _say_again,
    "skip_step": _skip_step,
    "stand_by": _stand_by,
    "start_round": _start_round,
    "terse": _terse,
    "why": _why,
}


def _back(bench: Bench, entry: Reading | Observation) -> Reply:
    if isinstance(entry, Reading):
        [back] = read_back([entry], bench.profile)
        return back
    title, value, _ = entry_words(entry, bench.profile)
    spelled = any(o.id == entry.item and o.kind == "identifier" for o in bench.profile.observation)
    said = spell(value) if spelled else value
    return Reply(f"{title}: {value}", f"{title}, {said}", about=(entry.id,))


def _report(bench: Bench) -> Report:
    return report_of(bench.session, bench.profile, bench.diagnosis)
