"""What a report says of one reading by itself: the verdict on it, or why there is none.

A finding may rest on many readings. A wire's place comes from a whole survey, and none of its
signals is wrong by being low beside the wire; a joint shows in the resistance, not in the length.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assistant.diagnosis.finding import Finding, Verdict
from assistant.diagnosis.limits import PLAUSIBILITY
from assistant.diagnosis.measured import by_place, over_the_wire
from assistant.profile.schema import Profile
from assistant.record.session import Session
from assistant.report.verdicts import heaviest

NO_LIMIT = "no limit set"
BESIDE = "for the wire's place"
AGAIN = "measured again later"
_ALL = ("contact_resistance", "difference")


def verdicts_of_each(profile: Profile, findings: Iterable[Finding]) -> dict[str, Verdict]:
    """Reading or observation id to the heaviest verdict on it; what no rule judged is left out."""
    measured = {rule.id: rule.calculation for rule in profile.computed}
    alone = {PLAUSIBILITY, *(rule.id for rule in profile.tolerance)}
    alone |= {rule.id for rule in profile.pair} | {item.id for item in profile.observation}
    mine: dict[str, list[Finding]] = {}
    for finding in findings:
        calculation = measured.get(finding.rule)
        if finding.rule in alone or calculation in _ALL:
            about = finding.about
        else:
            about = finding.about[:1] if calculation == "loop_resistance" else ()
        for name in about:
            mine.setdefault(name, []).append(finding)
    return {name: verdict for name, rows in mine.items() if (verdict := heaviest(rows))}


def unjudged_words(profile: Profile, session: Session) -> Mapping[str, str]:
    """Reading id to why it has no verdict; NO_LIMIT is the reason of those that are left out."""
    over = over_the_wire(session)
    counted = {r.id for r in over}
    newest = {readings[-1].id for readings in by_place(profile, over).values()}
    words = {r.id: AGAIN for r in over if r.id not in newest}
    return words | {r.id: BESIDE for r in session.judged if r.id not in counted}
