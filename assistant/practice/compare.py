"""What became of each value that should be in the record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.diagnosis.measured import REPAIR, deciding_contexts
from assistant.practice.wanted import Wanted
from assistant.profile.schema import Profile
from assistant.record.session import Reading

Outcome = Literal["right", "missing", "value", "sign", "swapped", "open"]
ContextOutcome = Literal["right", "wrong_context", "unsaid_context"]


@dataclass(frozen=True, slots=True)
class Matched:
    """``got`` None: nothing in the record stands for it."""

    wanted: Wanted
    got: Reading | None
    outcome: Outcome


def match(
    wanted: Sequence[Wanted], got: Iterable[Reading], profile: Profile
) -> tuple[list[Matched], list[Reading]]:
    """Each wanted value with the reading that stands for it, and the readings left over: values
    that were not there. A reading entered twice is left over only where it differs."""
    left = list(got)
    members = {q.id: set(q.members.values()) for q in profile.quantity}
    pairs: dict[int, Reading] = {}

    def labelled(w: Wanted, r: Reading) -> bool:
        same = r.quantity == w.quantity or w.quantity in members.get(r.quantity, ())
        return same and r.position == w.position

    tests: tuple[Callable[[Wanted, Reading], bool], ...] = (
        lambda w, r: _told(r) == w.told and fits(w, r),
        lambda w, r: _told(r) == w.told,
        fits,
        lambda _w, _r: True,
    )
    for test in tests:
        for place, w in enumerate(wanted):
            if place in pairs:
                continue
            found = next((r for r in left if labelled(w, r) and test(w, r)), None)
            if found is not None:
                pairs[place] = found
                left.remove(found)
    again = {(w.label, w.told) for w in wanted}
    left = [r for r in left if ((r.quantity, r.position), _told(r)) not in again]
    matched = [Matched(w, pairs.get(i), _outcome(w, pairs.get(i))) for i, w in enumerate(wanted)]
    return _with_swaps(matched), left


def fits(wanted: Wanted, got: Reading) -> bool:
    """Whether no context of the record contradicts the true one."""
    return all(got.context.get(k, v) == v for k, v in wanted.context.items())


def context_outcome(wanted: Wanted, got: Reading, profile: Profile) -> ContextOutcome:
    """Only the contexts that decide what this value means are looked at."""
    keys = needed(wanted, profile)
    if any(got.context.get(key, wanted.context[key]) != wanted.context[key] for key in keys):
        return "wrong_context"
    return "unsaid_context" if keys - set(got.context) else "right"


def needed(wanted: Wanted, profile: Profile) -> frozenset[str]:
    """The keys of its context without which the value can't be judged."""
    keys = deciding_contexts(profile, wanted.quantity)
    if wanted.context.get(REPAIR) != "after":
        keys -= {REPAIR}  # unsaid is before
    return keys & set(wanted.context)


def _outcome(wanted: Wanted, got: Reading | None) -> Outcome:
    if got is None:
        return "missing"
    told = _told(got)
    if told == wanted.told:
        still_open = got.status == "asked" or got.quantity != wanted.quantity
        return "open" if still_open else "right"
    if told[1] is not None and wanted.told[1] is not None and told[1] == -wanted.told[1]:
        return "sign"
    return "value"


def _with_swaps(matched: list[Matched]) -> list[Matched]:
    """Two positions of one quantity that carry each other's values."""
    swapped = set()
    for i, one in enumerate(matched):
        for j, other in enumerate(matched[:i]):
            alike = one.wanted.quantity == other.wanted.quantity
            if not alike or one.wanted.stretch != other.wanted.stretch:
                continue
            if one.got is None or other.got is None or one.wanted.told == other.wanted.told:
                continue
            crossed = (_told(one.got), _told(other.got)) == (other.wanted.told, one.wanted.told)
            if crossed and one.wanted.position != other.wanted.position:
                swapped |= {i, j}
    return [
        Matched(m.wanted, m.got, "swapped") if i in swapped else m for i, m in enumerate(matched)
    ]


def _told(reading: Reading) -> tuple[str, Decimal | None]:
    return reading.state, reading.number
