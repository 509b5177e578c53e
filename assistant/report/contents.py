"""What a report says, put into words once for the page and the terminal alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.diagnosis.causes import NO_FAULT
from assistant.diagnosis.enough import percent
from assistant.diagnosis.finding import Cause, Diagnosis, Finding, Verdict
from assistant.diagnosis.measured import REPAIR, over_the_wire
from assistant.profile.schema import Profile
from assistant.record.session import Observation, Reading, Session
from assistant.report.each_reading import NO_LIMIT, unjudged_words, verdicts_of_each
from assistant.report.entry_words import entry_words
from assistant.report.verdicts import by_weight
from assistant.speaking.advice import minutes
from assistant.speaking.readback import DIGIT_BY_DIGIT, WHY

LIKELY = 0.05
"""Causes below this chance are left out of the ranking that is shown."""
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One reading as shown. ``verdict`` is None where no rule judged it, ``unjudged`` says why."""

    id: str
    label: str
    value: str
    context: str
    verdict: Verdict | None
    question: str
    heard: str
    at: str
    by: str
    unjudged: str = NO_LIMIT


@dataclass(frozen=True, slots=True)
class Seen:
    """One observation as shown."""

    title: str
    value: str
    verdict: Verdict | None
    heard: str
    at: str


@dataclass(frozen=True, slots=True)
class Struck:
    """What was replaced, completed or withdrawn: it stays visible. ``now`` is what stands instead,
    "" for nothing."""

    label: str
    value: str
    context: str
    now: str
    at: str


@dataclass(frozen=True, slots=True)
class Compared:
    """One reading before and after the repair."""

    label: str
    context: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Report:
    """``groups`` are the readings by context, in the order the contexts were first met.
    ``telling`` are the findings that say what is wrong now or can't be judged, ``quiet`` the
    others, what a repair has mended among them. ``flagged`` names what is out or suspect."""

    session: Session
    profile: Profile
    diagnosis: Diagnosis
    headline: str
    flagged: tuple[str, ...]
    action: str
    caution: str
    groups: Mapping[str, tuple[Row, ...]]
    questions: tuple[Row, ...]
    seen: tuple[Seen, ...]
    struck: tuple[Struck, ...]
    compared: tuple[Compared, ...]
    telling: tuple[Finding, ...]
    quiet: tuple[Finding, ...]
    causes: tuple[Cause, ...]
    visits: tuple[Session, ...] = ()
    """All sessions of this unit, this one among them, for what changes from visit to visit."""

    def on_seen(self, finding: Finding) -> bool:
        """Whether it speaks of something seen or told, not of a reading."""
        return any(o.id == finding.rule for o in self.profile.observation)


def report_of(
    session: Session, profile: Profile, diagnosis: Diagnosis, visits: Sequence[Session] = ()
) -> Report:
    """All that a report says of one session; ``visits`` are all of the same unit."""
    verdicts = verdicts_of_each(profile, diagnosis.findings)
    unjudged = unjudged_words(profile, session)
    groups: dict[str, list[Row]] = {}
    for reading in session.readings:
        row = _row(reading, profile, verdicts.get(reading.id))
        row = replace(row, unjudged=unjudged.get(reading.id, NO_LIMIT))
        groups.setdefault(row.context, []).append(row)
    open_ids = {r.id for r in session.open_questions}
    rows = [row for group in groups.values() for row in group]
    flagged = tuple(_flagged(session, profile, diagnosis))
    action, caution = _action(session, profile, diagnosis)
    findings = by_weight(diagnosis.findings)
    telling = tuple(f for f in findings if f in diagnosis.still_flagged or f.verdict == "unknown")
    return Report(
        session=session,
        profile=profile,
        diagnosis=diagnosis,
        headline=_headline(session, profile, diagnosis, flagged),
        flagged=flagged,
        action=action,
        caution=caution,
        groups={context: tuple(group) for context, group in groups.items()},
        questions=tuple(row for row in rows if row.id in open_ids),
        seen=tuple(_seen(o, profile, verdicts.get(o.id)) for o in session.observations),
        struck=tuple(_struck(session, profile)),
        compared=tuple(_compared(session, profile)),
        telling=telling,
        quiet=tuple(f for f in findings if f not in telling),
        causes=tuple(c for c in diagnosis.causes if c.probability >= LIKELY),
        visits=tuple(visits),
    )


def _headline(
    session: Session, profile: Profile, diagnosis: Diagnosis, flagged: Sequence[str]
) -> str:
    """What is wrong, in one sentence."""
    if not session.judged and not session.observations:
        return "Nothing was measured yet."
    if diagnosis.proven:
        return "The repair is proven: everything flagged before it was measured again and is gone."
    if _to_measure_again(session, profile, diagnosis):
        gone = sum(proof.outcome == "gone" for proof in diagnosis.repairs)
        signs = (
            "1 sign is" if len(diagnosis.repairs) == 1 else f"{len(diagnosis.repairs)} signs are"
        )
        return f"Repaired, not proven yet: {gone} of {signs} gone."
    if not flagged:
        return "Nothing that was measured is out of tolerance."
    named = ", ".join(flagged[:MOST_NAMED])
    more = f" and {len(flagged) - MOST_NAMED} more" if len(flagged) > MOST_NAMED else ""
    top = diagnosis.causes[0] if diagnosis.causes else None
    if top is None or top.cause == NO_FAULT:
        return f"Flagged: {named}{more}. No listed cause explains it yet."
    return f"Likeliest: {top.title}, {percent(top.probability)} of 100. Flagged: {named}{more}."


def _flagged(session: Session, profile: Profile, diagnosis: Diagnosis) -> Iterator[str]:
    """What is out or suspect, each once: a reading with its value, what was worked out from
    several by its title."""
    shown = {i.id: entry_words(i, profile) for i in session.standing}
    words = {name: f"{entry.label} {entry.value}" for name, entry in shown.items()}
    worked_out = {rule.id: rule.title for rule in profile.computed}
    named: dict[str, None] = {}
    for finding in by_weight(diagnosis.still_flagged):
        if finding.rule in worked_out:
            named[worked_out[finding.rule]] = None
        else:
            named |= dict.fromkeys(words[name] for name in finding.about if name in words)
    yield from named


def _to_measure_again(session: Session, profile: Profile, diagnosis: Diagnosis) -> list[str]:
    """Labels of what a repair left unmeasured, once nothing measured again remains wrong."""
    if any(proof.outcome == "remains" for proof in diagnosis.repairs):
        return []
    left = {i for p in diagnosis.repairs if p.outcome == "not_measured" for i in p.about}
    again = (i for i in session.standing if i.id in left)
    return list(dict.fromkeys(entry_words(i, profile).label for i in again))


def _action(session: Session, profile: Profile, diagnosis: Diagnosis) -> tuple[str, str]:
    """What to do next, and the caution that comes before it."""
    if again := _to_measure_again(session, profile, diagnosis):
        return f"Take again, after repair, in the same context: {', '.join(again)}.", ""
    top = diagnosis.causes[0] if diagnosis.causes else None
    if diagnosis.enough and not diagnosis.proven and top is not None and top.cause != NO_FAULT:
        return top.remedy, top.caution
    if diagnosis.next_checks and not diagnosis.proven:
        check = diagnosis.next_checks[0]
        first = f"First {check.precondition}. Then: " if check.precondition else ""
        return f"{first}{check.title}, about {minutes(check.minutes)}.", check.caution
    if diagnosis.ready_for_use:
        return "Ready for use: the safety release is complete.", ""
    if diagnosis.release_missing and any(rnd.release for rnd in profile.round):
        return f"Do the safety release round before the {profile.profile.machine} is used.", ""
    return "", ""


def _row(reading: Reading, profile: Profile, verdict: Verdict | None) -> Row:
    words = entry_words(reading, profile)
    return Row(
        id=reading.id,
        label=words.label,
        value=words.value,
        context=words.context,
        verdict=verdict,
        question=_question(reading, profile),
        heard=reading.heard,
        at=reading.at,
        by=f"{reading.by}: {reading.reason}" if reading.by else "",
    )


def _seen(observation: Observation, profile: Profile, verdict: Verdict | None) -> Seen:
    title, value, _ = entry_words(observation, profile)
    return Seen(title, value, verdict, observation.heard, observation.at)


def _question(reading: Reading, profile: Profile) -> str:
    asks = [c.ask for key in reading.missing for c in profile.context if c.id == key]
    reasons = {str(doubt): why for doubt, why in WHY.items()}
    doubts = [reasons.get(doubt, doubt) for doubt in reading.doubts]
    if reading.status == "asked" and not doubts and not asks:
        doubts = ["not heard for certain"]
    if doubts:
        how = ", digit by digit" if DIGIT_BY_DIGIT & set(reading.doubts) else ""
        doubts = [f"say it again{how}: {', '.join(doubts)}"]
    return "; ".join([*asks, *doubts]) if reading.status == "asked" or asks else ""


def _struck(session: Session, profile: Profile) -> Iterator[Struck]:
    standing = {i.id: i for i in session.standing}
    for old in session.superseded:
        was, new = entry_words(old, profile), standing.get(session.in_place_of(old.id))
        now = entry_words(new, profile) if new is not None else None
        if now is None or now == was:
            yield Struck(*was, "" if now is None else now.value, old.at)
        elif now.value == was.value:
            yield Struck(*was, ", ".join(filter(None, (now.label, now.context))), old.at)
        else:
            yield Struck(*was, now.value, old.at)


def _compared(session: Session, profile: Profile) -> Iterator[Compared]:
    """The last reading of each label and context on either side of the repair."""
    sides: dict[tuple[str, str], dict[bool, str]] = {}
    for reading in over_the_wire(session):
        elsewhere = {k: v for k, v in reading.context.items() if k != REPAIR}
        label, value, context = entry_words(replace(reading, context=elsewhere), profile)
        after = reading.context.get(REPAIR) == "after"
        sides.setdefault((label, context), {})[after] = value
    for (label, context), values in sides.items():
        if len(values) == 2:
            yield Compared(label, context, values[False], values[True])
