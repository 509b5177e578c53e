"""What repeats tell: the scatter of one label read again and again, and before against after.

Neither judges the mower. An outlier among repeats is a reading to take again, whatever it says;
what lies within two steps of the display from another reading is none. (Of three readings the
third always fails Grubbs' test where the other two are alike.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from assistant.diagnosis.finding import Finding
from assistant.diagnosis.measured import REPAIR, Place, Places
from assistant.diagnosis.reasons import (
    context_words,
    limit_words,
    number_words,
    signed,
    title_of,
    unit_words,
)
from assistant.diagnosis.statistics import Repeats, change, grubbs, repeats
from assistant.errors import NotDeterminedError
from assistant.profile.schema import Profile
from assistant.record.session import Reading

REPEATS, BEFORE_AFTER = "repeats", "before_after"
LEAST_REPEATS = 3
STEPS = 2
"""Of the display's last digit: as far apart as two readings of one thing may well come."""


def repeat_findings(profile: Profile, places: Places) -> Iterator[Finding]:
    """Mean, interval and scatter of every label read three times or more in one context."""
    for place, readings in places.items():
        mine = _with_value(readings)
        if len(mine) < LEAST_REPEATS:
            continue
        values = [float(str(r.value)) for r in mine]
        found = repeats(values)
        words = f"{_label(profile, place)} read {found.count} times: {_mean(profile, place, found)}"
        about = tuple(r.id for r in mine)
        try:
            furthest = grubbs(values)
        except NotDeterminedError:
            yield Finding(REPEATS, "ok", about, f"{words}, all alike")
            continue
        odd = mine[furthest.index]
        if furthest.out and not _near_another(mine, odd):
            reason = (
                f"{words}; {_values([odd])} stands apart from the rest (Grubbs' test, 5 %): take "
            )
            yield Finding(REPEATS, "unknown", about, f"{reason}it again")
        else:
            yield Finding(REPEATS, "ok", about, f"{words}; none stands apart")


def change_findings(profile: Profile, places: Places) -> Iterator[Finding]:
    """How every label read on both sides of the repair changed, and how sure that is where both
    sides were read more than once."""
    for place, readings in places.items():
        after = _on_other_side(place)
        old, new = _with_value(readings), _with_value(places.get(after, ()) if after else ())
        if not old or not new:
            continue
        before, now = ([float(str(r.value)) for r in side] for side in (old, new))
        unit = unit_words(profile, place.quantity)
        rose = sum(now) / len(now) - sum(before) / len(before)
        how = f"{limit_words(round(abs(rose), 3))}{unit} {'more' if rose > 0 else 'less'}"
        how = how if rose else "no change"
        sure = ""
        if min(len(before), len(now)) > 1:
            try:
                worked = change(repeats(now), repeats(before)).difference
                low, high = (number_words(v, 3) for v in worked.interval)
                sure = f" (95 % sure: {low} to {high})"
            except NotDeterminedError:
                pass
        reason = (
            f"{_label(profile, place)}: {_values(old)}{unit} before, {_values(new)}{unit} after"
        )
        about = tuple(r.id for r in (*old, *new))
        yield Finding(BEFORE_AFTER, "ok", about, f"{reason} the repair: {how}{sure}")


def _near_another(readings: list[Reading], odd: Reading) -> bool:
    numbers = [Decimal(str(reading.value)) for reading in readings]
    step = Decimal(1).scaleb(min(int(number.as_tuple().exponent) for number in numbers))
    own = Decimal(str(odd.value))
    gaps = [
        abs(n - own) for n, reading in zip(numbers, readings, strict=True) if reading is not odd
    ]
    return min(gaps) <= STEPS * step


def _with_value(readings: Iterable[Reading]) -> list[Reading]:
    return [reading for reading in readings if reading.value is not None]


def _on_other_side(place: Place) -> Place | None:
    if (REPAIR, "before") not in place.context:
        return None
    context = tuple((k, "after" if k == REPAIR else v) for k, v in place.context)
    return Place(place.quantity, place.position, context)


def _label(profile: Profile, place: Place) -> str:
    where = context_words(profile, {k: v for k, v in place.context if k != REPAIR})
    label = f"{title_of(profile, place.quantity)} {place.position or ''}".strip()
    return f"{label}, {where}" if where else label


def _values(readings: list[Reading]) -> str:
    return ", ".join(signed(str(r.value)) for r in readings)


def _mean(profile: Profile, place: Place, found: Repeats) -> str:
    unit = unit_words(profile, place.quantity)
    low, high = (number_words(v, 3) for v in found.mean.interval)
    mean = number_words(found.mean.value, 3)
    scatter = number_words(found.deviation)
    return f"mean {mean}{unit} (95 % sure: {low} to {high}), scatter {scatter}{unit}"
