"""Whether the numbers of a profile can be true together, and its units are units."""

from __future__ import annotations

import math
from collections.abc import Iterator

from assistant.profile.problem import Problem, shown
from assistant.profile.schema import Computed, Profile, Tolerance
from assistant.profile.toml_lines import Place
from assistant.profile.units import ALLOWED, is_ucum


def limit_problems(profile: Profile) -> Iterator[Problem]:
    """Limits upside down or out of reach, numbers that are none, codes that are no units."""
    plausible = {q.id: q.plausible for q in profile.quantity}
    for index, quantity in enumerate(profile.quantity):
        place = ("quantity", index)
        low, high = quantity.plausible
        if not (math.isfinite(low) and math.isfinite(high) and low < high):
            yield Problem((*place, "plausible"), f"[{low:g}, {high:g}]", "a lower number first")
        yield from _unit((*place, "unit"), quantity.unit)
    for index, rule in enumerate(profile.tolerance):
        yield from _limits(("tolerance", index), rule)
        if rule.quantity in plausible:
            low, high = plausible[rule.quantity]
            for side in ("low", "high"):
                limit = getattr(rule, side)
                if limit is not None and not low <= limit <= high:
                    allowed = f"{low:g} to {high:g}, the plausible range of {rule.quantity}"
                    yield Problem(("tolerance", index, side), f"{limit:g}", allowed)
    for index, computed in enumerate(profile.computed):
        yield from _limits(("computed", index), computed)
        yield from _unit(("computed", index, "unit"), computed.unit)
    for name, value in profile.constants.items():
        if not math.isfinite(value):
            yield Problem(("constants", name), f"{value:g}", "a finite number")


def _limits(place: Place, rule: Tolerance | Computed) -> Iterator[Problem]:
    if rule.low is None and rule.high is None:
        yield Problem(place, "neither low nor high", "one of them or both")
    elif rule.low is not None and rule.high is not None and not rule.low <= rule.high:
        found = f"low {rule.low:g} above high {rule.high:g}"
        yield Problem((*place, "low"), found, "low at most as high as high")


def _unit(place: Place, code: str) -> Iterator[Problem]:
    if not is_ucum(code):
        yield Problem(place, shown(code), ALLOWED)
