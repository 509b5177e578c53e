"""What is answered about the job as it stands: what next, why, how likely, what a repair has
mended, what is still open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice

from assistant.diagnosis.finding import Diagnosis
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading, Session
from assistant.report.contents import Report
from assistant.speaking.advice import (
    reply_to_cause,
    reply_to_finding,
    reply_to_next_check,
    spoken_sentence,
)
from assistant.speaking.readback import read_back
from assistant.speaking.reply import Reply

MOST_CAUSES = 3
STANDS_OUT = 0.3
"""Probability below which a cause does not, where nothing speaks for it."""


def next_check(report: Report) -> list[Reply]:
    """The best check; once there is a verdict or a repair, what the report says is to be done."""
    diagnosis = report.diagnosis
    if diagnosis.next_checks and not diagnosis.repairs:
        return [reply_to_next_check(diagnosis.next_checks[0])]
    if not report.action:
        return [reply_to_next_check(None)]
    caution = f"caution: {report.caution} " if report.caution else ""
    return [plain(f"{caution}{report.action}")]


def likely_causes(diagnosis: Diagnosis) -> list[Reply]:
    """The ranking; ``why`` gives the reasons, which for three causes take a minute to say. Where
    nothing is flagged it is hardly more than how often each cause comes."""
    chances = [cause.probability for cause in diagnosis.causes]
    if not diagnosis.still_flagged and max(chances, default=0.0) < STANDS_OUT:
        return [plain("no cause stands out yet: say what next")]
    ranked = (replace(c, reasons_for=(), missed=(), unexplained=()) for c in diagnosis.causes)
    return [reply_to_cause(cause) for cause in islice(ranked, MOST_CAUSES)] or [
        reply_to_cause(None)
    ]


def why(session: Session, profile: Profile, diagnosis: Diagnosis) -> list[Reply]:
    """The finding on what was said last, and the likeliest cause."""
    flagged = [f for f in diagnosis.findings if f.flagged]
    if not flagged:
        return [plain("nothing is out of tolerance")]
    said = {reading.id: reading.order for reading in session.readings}
    said |= {seen.id: seen.order for seen in session.observations}
    latest = max(
        reversed(flagged), key=lambda f: max(said.get(name, (False, 0)) for name in f.about)
    )
    likeliest = next(iter(diagnosis.causes), None)
    return [reply_to_finding(latest, profile), reply_to_cause(likeliest)]


def repair_compared(
    session: Session, profile: Profile, diagnosis: Diagnosis, label: str
) -> list[Reply]:
    """What became of each thing that was wrong, or of those that the label names."""
    if not diagnosis.repairs:
        return [plain("nothing was measured after the repair yet")]
    named = {entry.id for entry in entries_of(session, profile, label)}
    proofs = [p for p in diagnosis.repairs if not label or named.intersection(p.about)]
    told = [plain(proof.reason) for proof in proofs]
    return told or [plain("nothing was wrong with that before the repair")]


def asked_again(report: Report, readings: Sequence[Reading]) -> list[Reply]:
    """Open readings, each with what is asked about it."""
    asks = {row.id: row.question for row in report.questions}
    return [
        Reply(f"{back.shown}: {asks[r.id]}", f"{back.spoken}: {asks[r.id]}", "asked", back.about)
        for r, back in zip(readings, read_back(readings, report.profile), strict=True)
    ]


def as_it_is_left(report: Report) -> list[Reply]:
    """What is open, whether a repair is proven, and whether the machine may be used."""
    diagnosis = report.diagnosis
    replies = asked_again(report, report.session.open_questions)
    if diagnosis.proven:
        replies.append(plain("repair proven: all that was flagged was measured again and is gone"))
    elif diagnosis.repairs:
        open_still = [p.reason for p in diagnosis.repairs if p.outcome == "remains"]
        if not open_still and any(p.outcome == "not_measured" for p in diagnosis.repairs):
            open_still = [report.action]
        open_still = open_still or ["something new is flagged since the repair"]
        replies.append(plain(f"repair not proven: {'; '.join(open_still)}"))
    if diagnosis.ready_for_use:
        return [*replies, plain("ready for use: safety release done")]
    lacking = []
    if report.flagged:
        lacking.append(f"flagged: {', '.join(report.flagged)}")
    if diagnosis.release_missing:
        lacking.append(f"still to do: {', '.join(diagnosis.release_missing)}")
    return [*replies, plain(f"not ready for use, {'; '.join(lacking)}")]


def entries_of(session: Session, profile: Profile, label: str) -> list[Reading | Observation]:
    """The readings that a label names, and the observations ("observation@choice")."""
    seen = session.observations
    named = [o for o in seen if label in ("", o.item, f"{o.item}@{o.value}")]
    return [*readings_of(session, profile, label), *named]


def readings_of(session: Session, profile: Profile, label: str) -> list[Reading]:
    """The readings that a label names, as far as it was said: "quantity@position", either half
    may be empty, and a quantity that stands for several names them all."""
    name, _, position = label.partition("@")
    members = (q.members.values() for q in profile.quantity if q.id == name)
    names = {name, *(member for group in members for member in group)}
    return [
        reading
        for reading in session.readings
        if (not name or reading.quantity in names) and position in ("", reading.position or "")
    ]


def plain(text: str) -> Reply:
    return Reply(text, spoken_sentence(text))
