"""Marks for a round that was taken down: values, contexts, and the verdict on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.measured import applies
from assistant.practice.compare import Matched, context_outcome, match, needed
from assistant.practice.marks import RULES, Lost, Score
from assistant.practice.wanted import Wanted
from assistant.profile.schema import Profile
from assistant.record.session import Reading, Session
from assistant.report.entry_words import entry_words
from assistant.speaking.label import context_words, shown_label

Label = tuple[str, str | None]
READINGS, CONTEXT, VERDICT = 50.0, 25.0, 25.0
FALSE_ALARM = 10.0


def score_record(
    wanted: Sequence[Wanted], got: Iterable[Reading], named: Sequence[Label], profile: Profile
) -> Score:
    """``named`` are the labels that the trainee calls out of tolerance, () for none."""
    stretches = sorted({w.stretch for w in wanted if needed(w, profile)})
    sections = {"readings": READINGS, "context": CONTEXT, "verdict": VERDICT}
    if not stretches:
        sections = {"readings": READINGS + CONTEXT, "verdict": VERDICT}
    matched, left = match(wanted, got, profile)
    lost = [
        *_values(matched, left, sections["readings"] / len(wanted), profile),
        *(_contexts(matched, stretches, profile) if stretches else ()),
        *_verdict(matched, named, profile),
    ]
    return Score(sections, tuple(lost))


def _values(
    matched: Sequence[Matched], left: Sequence[Reading], share: float, profile: Profile
) -> Iterator[Lost]:
    for one in matched:
        w = one.wanted
        if one.outcome == "right":
            continue
        name = " ".join(entry_words(w.reading("", profile), profile)[:2])
        got = "nothing" if one.got is None else entry_words(one.got, profile).value
        points = share / 2 if one.outcome == "open" else share
        words = f" (said: “{w.words}”)" if w.words else ""
        reason = f"{name}{words}, in the record: {got}. {RULES[one.outcome].says}"
        yield Lost("readings", one.outcome, points, reason, w.sound)
    for reading in left:
        name = " ".join(entry_words(reading, profile)[:2])
        says = RULES["invented"].says
        yield Lost("readings", "invented", share, f"{name} was neither shown nor said. {says}")


def _contexts(
    matched: Sequence[Matched], stretches: Sequence[int], profile: Profile
) -> Iterator[Lost]:
    share = CONTEXT / len(stretches)
    for stretch in stretches:
        here = [m for m in matched if m.wanted.stretch == stretch and needed(m.wanted, profile)]
        there = [(m, m.got) for m in here if m.got is not None and m.outcome != "open"]
        where = ", ".join(context_words(profile, here[0].wanted.context, here[0].wanted.context))
        if not there:
            reason = f"Nothing stands in the record under “{where}”."
            yield Lost("context", "unsaid_context", share, reason, here[0].wanted.sound)
            continue
        outcomes = {context_outcome(m.wanted, got, profile): m.wanted for m, got in there}
        for rule, part in (("wrong_context", 1.0), ("unsaid_context", 0.5)):
            w = outcomes.get(rule)  # type: ignore[call-overload]
            if w is not None:
                name = shown_label(profile, *w.label)
                how = "under another context" if part == 1.0 else "without it"
                reason = f"It was {where}; {name} stands in the record {how}. {RULES[rule].says}"
                yield Lost("context", rule, share * part, reason, w.sound)
                break


def _verdict(
    matched: Sequence[Matched], named: Sequence[Label], profile: Profile
) -> Iterator[Lost]:
    if 2 * sum(m.outcome == "right" for m in matched) < len(matched):
        yield Lost("verdict", "no_ground", VERDICT, RULES["no_ground"].says)
        return
    wanted = [m.wanted for m in matched]
    faults = out_of_tolerance(wanted, profile)
    missed = {labels: why for labels, why in faults.items() if not labels & set(named)}
    for reason in missed.values():
        points = VERDICT / len(faults)
        yield Lost("verdict", "overlooked", points, f"{reason}. {RULES['overlooked'].says}")
    known = frozenset().union(*faults) if faults else frozenset()
    for label in dict.fromkeys(named):
        if label in known:
            continue
        name = shown_label(profile, *label)
        mine = [w for w in wanted if w.label == label]
        trap = next((why for w in mine if (why := normal_here(w, profile))), "")
        if trap:
            reason = f"{name}: {trap}. {RULES['normal_here'].says}"
            yield Lost("verdict", "normal_here", VERDICT, reason, mine[0].sound)
        else:
            reason = f"{name} is in tolerance. {RULES['false_alarm'].says}"
            yield Lost("verdict", "false_alarm", FALSE_ALARM, reason)


def out_of_tolerance(wanted: Sequence[Wanted], profile: Profile) -> dict[frozenset[Label], str]:
    """What the diagnosis flags in a perfect record: the labels concerned, and why. Naming one of
    the labels is enough."""
    readings = tuple(w.reading(str(n), profile) for n, w in enumerate(wanted))
    by_id = {r.id: (r.quantity, r.position) for r in readings}
    found: dict[frozenset[Label], str] = {}
    for finding in diagnose(Session("practice", profile.id, readings=readings), profile).findings:
        if finding.flagged:
            labels = frozenset(by_id[i] for i in finding.about if i in by_id)
            if labels:
                found.setdefault(labels, finding.reason)
    return found


def normal_here(wanted: Wanted, profile: Profile) -> str:
    """Why a value that would be out of tolerance in another context is none in its own; "" where
    no rule says so."""
    if wanted.value is None:
        return ""
    number = Decimal(wanted.value)
    for rule in profile.tolerance:
        if rule.quantity != wanted.quantity or rule.position not in (None, wanted.position):
            continue
        if applies(rule.when, wanted.context) != "no":
            continue
        low, high = rule.low, rule.high
        below = low is not None and number < Decimal(str(low))
        above = high is not None and number > Decimal(str(high))
        if (below or above) and rule.otherwise:
            return rule.otherwise
    return ""
