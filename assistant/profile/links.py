"""What one table of a profile says of another: every id that is named exists and fits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from assistant.profile.nearest import nearest
from assistant.profile.problem import Problem, shown
from assistant.profile.schema import (
    Cause,
    Check,
    Computed,
    Pair,
    Profile,
    Quantity,
    Sign,
    Step,
    Tolerance,
    Where,
)
from assistant.profile.toml_lines import Place

ROLES: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    "loop_resistance": (
        frozenset({"resistance", "length", "area"}),
        frozenset({"temperature", "lead_zero", "material"}),
    ),
    "contact_resistance": (frozenset({"voltage", "current"}), frozenset()),
    "wire_field": (frozenset({"signal", "shift"}), frozenset()),
    "difference": (frozenset({"first", "second"}), frozenset()),
}
"""Each calculation's roles: those it must be given, and those it may be given."""


def link_problems(profile: Profile) -> Iterator[Problem]:
    """Every id that names nothing, or something of the wrong kind."""
    return _Links(profile).problems()


class _Links:
    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.quantities = {q.id: q for q in profile.quantity}
        self.observations = {o.id: o for o in profile.observation}
        self.contexts = {c.id: [v.id for v in c.value] for c in profile.context}
        self.positions = [p.id for p in profile.position]
        self.signs = [s.id for s in profile.sign]
        rules: list[Tolerance | Pair | Computed] = [*profile.tolerance, *profile.pair]
        rules += profile.computed
        self.verdicts = {rule.id: {str(rule.verdict)} for rule in rules}
        self.verdicts |= {
            o.id: {c.verdict for c in o.choice if c.verdict != "ok"} for o in profile.observation
        }

    def problems(self) -> Iterator[Problem]:
        profile = self.profile
        yield from self._twice()
        for index, position in enumerate(profile.position):
            if position.quantity:
                place = ("position", index, "quantity")
                yield from _exists(place, position.quantity, self.quantities)
        for index, event in enumerate(profile.event):
            for n, name in enumerate(event.ends):
                yield from _exists(("event", index, "ends", n), name, self.contexts)
        for index, quantity in enumerate(profile.quantity):
            yield from self._quantity(("quantity", index), quantity)
        for index, observation in enumerate(profile.observation):
            if (observation.kind == "choice") != bool(observation.choice):
                place = ("observation", index, "choice")
                found = f"{len(observation.choice)} choices with kind '{observation.kind}'"
                yield Problem(place, found, "choices where the kind is 'choice', and only there")
        yield from self._rules()
        for index, sign in enumerate(profile.sign):
            yield from self._sign(("sign", index), sign)
        for index, cause in enumerate(profile.cause):
            yield from self._cause(("cause", index), cause)
        for index, check in enumerate(profile.check):
            yield from self._check(("check", index), check)
        for index, round_ in enumerate(profile.round):
            for n, step in enumerate(round_.step):
                yield from self._step(("round", index, "step", n), step)

    def _cause(self, place: Place, cause: Cause) -> Iterator[Problem]:
        for name in cause.shows:
            yield from _exists((*place, "shows", name), name, self.signs)
        for n, form in enumerate(cause.form):
            for name in form.shows:
                yield from _exists((*place, "form", n, "shows", name), name, self.signs)
        shares = sum(form.share for form in cause.form)
        if cause.form and abs(shares - 1) > 0.001:
            found = f"shares that sum to {shares:g}"
            yield Problem((*place, "form"), found, "forms whose shares sum to 1")

    def _twice(self) -> Iterator[Problem]:
        """Ids that must be told apart: within a table, and among what readings and rules share."""
        profile = self.profile
        groups = (
            ("position",),
            ("context",),
            ("event",),
            ("sign",),
            ("cause",),
            ("check",),
            ("round",),
            ("quantity", "observation"),
            ("tolerance", "pair", "computed", "observation"),
        )
        for tables in groups:
            seen: set[str] = set()
            for table in tables:
                for index, row in enumerate(getattr(profile, table)):
                    if row.id in seen:
                        place = (table, index, "id")
                        yield Problem(place, f"'{row.id}' a second time", "an id of its own")
                    seen.add(row.id)
        nested = (("context", "value"), ("observation", "choice"))
        for table, inner in nested:
            for index, row in enumerate(getattr(profile, table)):
                for name, times in Counter(item.id for item in getattr(row, inner)).items():
                    if times > 1:
                        place = (table, index, inner)
                        yield Problem(place, f"'{name}' {times} times", "an id of its own")

    def _quantity(self, place: Place, quantity: Quantity) -> Iterator[Problem]:
        for n, name in enumerate(quantity.positions):
            yield from _exists((*place, "positions", n), name, self.positions)
        for n, name in enumerate(quantity.needs):
            yield from _exists((*place, "needs", n), name, self.contexts)
        if bool(quantity.members) != bool(quantity.decided_by):
            found = "members without decided_by" if quantity.members else "decided_by alone"
            yield Problem(place, found, "both members and decided_by, or neither")
        if quantity.decided_by:
            yield from _exists((*place, "decided_by"), quantity.decided_by, self.contexts)
            values = self.contexts.get(quantity.decided_by, [])
            for value, member in quantity.members.items():
                yield from _exists((*place, "members", value), value, values)
                yield from _exists((*place, "members", value), member, self.quantities)

    def _rules(self) -> Iterator[Problem]:
        for index, rule in enumerate(self.profile.tolerance):
            place = ("tolerance", index)
            yield from self._judged(place, rule.quantity, rule.when)
            if rule.position:
                yield from self._position((*place, "position"), rule.quantity, rule.position)
        for index, pair in enumerate(self.profile.pair):
            place = ("pair", index)
            yield from self._judged(place, pair.quantity, pair.when)
            for n, name in enumerate(pair.positions):
                yield from self._position((*place, "positions", n), pair.quantity, name)
            if pair.positions[0] == pair.positions[1]:
                found = f"'{pair.positions[0]}' twice"
                yield Problem((*place, "positions"), found, "two different positions")
        for index, computed in enumerate(self.profile.computed):
            place = ("computed", index)
            yield from self._where((*place, "when"), computed.when)
            must, may = ROLES[computed.calculation]
            for role in sorted(must - computed.takes.keys()):
                found = f"no '{role}'"
                yield Problem((*place, "takes"), found, f"{', '.join(sorted(must))} at least")
            for role, name in computed.takes.items():
                inputs = self.observations if role == "material" else self.quantities
                yield from _exists((*place, "takes", role), role, must | may)
                yield from _exists((*place, "takes", role), name, inputs)

    def _judged(self, place: Place, quantity: str, when: Where) -> Iterator[Problem]:
        """A context that a rule hangs on must be one that the assistant asks for."""
        yield from _exists((*place, "quantity"), quantity, self.quantities)
        yield from self._where((*place, "when"), when)
        if quantity in self.quantities:
            needs = self.quantities[quantity].needs
            for key in when:
                if key in self.contexts and key not in needs:
                    allowed = f"a context that {quantity} needs ({', '.join(needs) or 'none'})"
                    yield Problem((*place, "when", key), f"'{key}'", allowed)

    def _position(self, place: Place, quantity: str, name: str) -> Iterator[Problem]:
        if quantity in self.quantities:
            yield from _exists(place, name, self.quantities[quantity].positions)

    def _where(self, place: Place, where: Where) -> Iterator[Problem]:
        for key, value in where.items():
            yield from _exists((*place, key), key, self.contexts)
            if key in self.contexts:
                yield from _exists((*place, key), value, self.contexts[key])

    def _sign(self, place: Place, sign: Sign) -> Iterator[Problem]:
        yield from _exists((*place, "rule"), sign.rule, self.verdicts)
        verdicts = self.verdicts.get(sign.rule)
        if verdicts is not None and not verdicts & set(sign.present):
            found = f"'{sign.rule}', which never gives {' or '.join(sign.present)}"
            yield Problem((*place, "rule"), found, "a rule that can give it")
        if sign.lower:
            pair = next((p for p in self.profile.pair if p.id == sign.rule), None)
            yield from _exists((*place, "lower"), sign.lower, pair.positions if pair else ())

    def _check(self, place: Place, check: Check) -> Iterator[Problem]:
        for n, name in enumerate(check.tells):
            yield from _exists((*place, "tells", n), name, self.signs)
        yield from self._where((*place, "needs"), check.needs)

    def _step(self, place: Place, step: Step) -> Iterator[Problem]:
        name, _, position = step.take.partition("@")
        takable = [*self.quantities, *self.observations]
        yield from _exists((*place, "take"), name, takable)
        if position:
            known = self.quantities[name].positions if name in self.quantities else ()
            yield from _exists((*place, "take"), position, known)
        yield from self._where((*place, "when"), step.when)


def _exists(place: Place, name: str, names: Iterable[str]) -> Iterator[Problem]:
    known = sorted(names)
    if name in known:
        return
    close = nearest(name, known)
    some = f"{', '.join(known[:8])}{' …' if len(known) > 8 else ''}" if known else "none here"
    yield Problem(place, shown(name), f"{some} (did you mean {close[0]}?)" if close else some)
