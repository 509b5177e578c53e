"""What measuring costs: the minutes of the profile's checks, each paid once for all it takes."""

from __future__ import annotations

from assistant.practice.takes import Takes, takes_of
from assistant.profile.schema import Check, Profile

STATION = "station"
TOLD = ("ask_homing", "ask_loop_and_charging")
"""The checks whose answers the customer's complaint gives at the beginning, for nothing."""
ODD_MINUTES = 1.0
"""For a value that no check takes."""


class Prices:
    """``paid`` are the checks begun so far, in their order."""

    def __init__(self, profile: Profile) -> None:
        self.paid: list[str] = []
        self._odd: set[tuple[str, str | None]] = set()
        self._checks = {check.id: check for check in profile.check}
        self._takes = {check.id: takes_of(check, profile) for check in profile.check}
        ordered = sorted(profile.check, key=lambda check: check.order)
        self.numbered = tuple(enumerate((c for c in ordered if c.id not in TOLD), 1))
        """The checks that can be carried out, as the trainee sees them numbered."""

    @property
    def minutes(self) -> float:
        return sum(price(self._checks[name]) for name in self.paid) + ODD_MINUTES * len(self._odd)

    @property
    def begun(self) -> bool:
        """Something was measured or looked at."""
        return bool(self.paid or self._odd)

    def takes(self, check: str) -> Takes:
        return self._takes[check]

    def told(self) -> tuple[str, ...]:
        """What the customer tells without being asked."""
        return tuple(i for name in TOLD if name in self._takes for i in self._takes[name].items)

    def find(self, name: str) -> Check | None:
        """A check by its number or id."""
        return next((c for n, c in self.numbered if name in (str(n), c.id)), None)

    def check_for(self, name: str, position: str | None, stands: str) -> Check | None:
        """The check that a value or a look belongs to: one paid already, else the cheapest."""
        fitting = [c for c in self._checks.values() if self._is_of(c.id, name, position, stands)]
        return min(fitting, key=lambda c: (c.id not in self.paid, price(c)), default=None)

    def pay(self, check: Check | None, name: str, position: str | None) -> bool:
        """Whether this was new: it had not been paid before."""
        if check is None:
            self._odd.add((name, position))
            return False
        if check.id in self.paid or check.id in TOLD:
            return False
        self.paid.append(check.id)
        return True

    def _is_of(self, check: str, name: str, position: str | None, stands: str) -> bool:
        takes = self._takes[check]
        return name in takes.items or any(
            (q, p) == (name, position) and dict(context).get(STATION, stands) == stands
            for q, p, context, _ in takes.labels
        )


def price(check: Check) -> float:
    """Minutes, those of undoing it included."""
    return check.minutes + check.undo_minutes
