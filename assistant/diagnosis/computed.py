"""Rules on numbers worked out from several readings: the profile's ``computed`` tables.

A rule speaks once its first input was taken, and says which of the others it waits for. A result
whose 95 % interval lies across a limit is not judged: the reason says how sure it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import inf

from assistant.diagnosis.contacts import contact_resistance
from assistant.diagnosis.estimate import Estimate
from assistant.diagnosis.finding import Finding, Verdict
from assistant.diagnosis.measured import last_with_value as _last
from assistant.diagnosis.reasons import (
    number_words,
    range_words,
    reading_words,
    signed,
    title_of,
)
from assistant.diagnosis.resistance import COPPER_NOHM_M, COPPER_PER_KELVIN, Wire, judge_wire
from assistant.diagnosis.survey import surveys
from assistant.diagnosis.wire_position import (
    DISPLAY_WARNING,
    angle_of_approach,
    approach_in_words,
    move_in_words,
    position_in_words,
)
from assistant.errors import NotDeterminedError
from assistant.profile.schema import Computed, Profile
from assistant.record.session import Session

WIRE_WORDS = {
    "high_joint": "a bad joint, or more wire than was said",
    "short": "a short cut across the wire, or less wire than was said",
    "plausible": "plausible",
}
APPROACH, WIRE_FIT = "approach_angle", "wire_fit"


@dataclass(frozen=True, slots=True)
class _Worked:
    """A result, the ids of the readings it comes from (the measured ones first) and how it was
    worked out, in words. ``result`` None: ``words`` say what is missing."""

    result: Estimate | None
    about: tuple[str, ...]
    words: str


def computed_findings(profile: Profile, session: Session, whole: Session) -> Iterator[Finding]:
    """``session`` is one side of the repair; what doesn't change with it (a wire's length) is
    taken from the ``whole`` session where that side lacks it."""
    for rule in profile.computed:
        if rule.calculation == "wire_field":
            yield from _wire_field(profile, rule, session)
            continue
        worked = _CALCULATIONS[rule.calculation](profile, rule, session, whole)
        if worked is not None:
            yield _judged(rule, worked)


def _judged(rule: Computed, worked: _Worked) -> Finding:
    verdict: Verdict = "unknown"
    why = ""
    if worked.result is not None:
        verdict, why = _verdict(rule, worked.result)
    return Finding(
        rule.id, verdict, worked.about, f"{rule.title}: {worked.words}{why}", rule.source
    )


def _verdict(rule: Computed, result: Estimate) -> tuple[Verdict, str]:
    low, high = result.interval
    least = -inf if rule.low is None else rule.low
    most = inf if rule.high is None else rule.high
    limits = range_words(rule.low, rule.high) + ("" if rule.unit == "1" else f" {rule.unit}")
    if high < least or low > most:
        return rule.verdict, f"; beyond the limits ({limits}); {rule.reason}"
    if low < least or high > most:
        return "unknown", f"; not sure enough to judge against {limits}: measure again"
    return "ok", f"; within the limits ({limits})"


def _loop_resistance(
    profile: Profile, rule: Computed, session: Session, whole: Session
) -> _Worked | None:
    measured = _last(session, rule.takes.get("resistance"), **rule.when)
    if measured is None:
        return None
    names = ("length", "area", "temperature", "lead_zero")
    inputs = {
        n: _last(session, rule.takes.get(n)) or _last(whole, rule.takes.get(n)) for n in names
    }

    def number(name: str, otherwise: float) -> float:
        reading = inputs[name]
        return otherwise if reading is None or reading.number is None else float(reading.number)

    about = (measured.id, *(r.id for r in inputs.values() if r))
    words = reading_words(profile, measured)
    missing = [n for n in ("length", "area") if not number(n, 0)]
    if missing:
        asks = " and ".join(title_of(profile, rule.takes.get(n, n)) for n in missing)
        return _Worked(None, about, f"{words}: {asks} not taken yet")

    material = next(
        (o.value for o in reversed(whole.observations) if o.item == rule.takes.get("material")), ""
    )
    wire = Wire(
        number("length", 0),
        number("area", 0),
        number("temperature", 20.0),
        material or "copper",
        profile.constants.get("copper_resistivity_nohm_m", COPPER_NOHM_M),
        profile.constants.get("copper_temperature_coefficient", COPPER_PER_KELVIN),
    )
    low, high = rule.low or 0.0, inf if rule.high is None else rule.high
    kind, share = judge_wire(
        wire, float(str(measured.value)), number("lead_zero", 0.0), low, high, open_from=inf
    )
    assumed = [
        text
        for given, text in (
            (inputs["temperature"], "20 °C"),
            (inputs["lead_zero"], "no lead zero"),
            (material, "copper"),
        )
        if not given
    ]
    words += f" is {number_words(share)} times the {number_words(wire.nominal)} ohms that "
    words += f"{wire.length:g} m of {wire.area:g} mm² should have"
    if (most := wire.maximum()) is not None:
        over = " at the most, and this is more" if share * wire.nominal > most else ""
        words += f" (IEC 60228 allows {number_words(most)}{over})"
    if assumed:
        words += f", assuming {', '.join(assumed)}"
    return _Worked(Estimate(share, 0.0), about, f"{words}: {WIRE_WORDS[kind]}")


def _contact_resistance(
    profile: Profile, rule: Computed, session: Session, _whole: Session
) -> _Worked | None:
    volts, amps = rule.takes["voltage"], rule.takes["current"]
    needed = {
        f"{title_of(profile, volts)} open": _last(session, volts, **{**rule.when, "load": "open"}),
        f"{title_of(profile, volts)} loaded": _last(
            session, volts, **{**rule.when, "load": "loaded"}
        ),
        title_of(profile, amps): _last(session, amps),
    }
    there = [r for r in needed.values() if r is not None]
    if not any(r.quantity == volts for r in there):
        return None
    about = tuple(r.id for r in there)
    missing = [name for name, r in needed.items() if r is None]
    if missing:
        return _Worked(None, about, f"{' and '.join(missing)} not taken yet")
    try:
        result = contact_resistance(*(str(r.value) for r in there))
    except NotDeterminedError as error:
        return _Worked(None, about, str(error))
    low, high = (number_words(max(v, 0.0)) for v in result.interval)
    shown = "; ".join(reading_words(profile, r) for r in there)
    return _Worked(
        result, about, f"{number_words(result.value)} ohms ({low} to {high}) from {shown}"
    )


def _difference(
    profile: Profile, rule: Computed, session: Session, whole: Session
) -> _Worked | None:
    first = _last(session, rule.takes.get("first"), **rule.when)
    if first is None or first.number is None:
        return None
    second = _last(session, rule.takes.get("second")) or _last(whole, rule.takes.get("second"))
    if second is None or second.number is None:
        label = title_of(profile, rule.takes.get("second", "second"))
        return _Worked(None, (first.id,), f"{label} not taken yet")
    difference: Decimal = first.number - second.number
    both = f"{reading_words(profile, first)} less {reading_words(profile, second)}"
    return _Worked(
        Estimate(float(difference), 0.0),
        (first.id, second.id),
        f"{signed(str(difference))}, {both}",
    )


def _wire_field(profile: Profile, rule: Computed, session: Session) -> Iterator[Finding]:
    done = list(surveys(session, profile, rule.takes["signal"], rule.when))
    for survey in done:
        sensor = f"{survey.place.position} sensor, " if survey.place.position else ""
        if survey.found is None:
            yield _judged(rule, _Worked(None, survey.ids, f"{sensor}{survey.refusal}"))
            continue
        words = f"{sensor}{position_in_words(survey.found)}"
        if _verdict(rule, survey.found.offset)[0] == rule.verdict:
            words += f": {move_in_words(survey.found)}"
        yield _judged(rule, _Worked(survey.found.offset, survey.ids, words))
        if survey.found.doubt:
            yield Finding(WIRE_FIT, "unknown", survey.ids, f"{sensor}{survey.found.doubt}")
    found = {s.place.position: s.found for s in done if s.found}
    if not found:
        return
    about = tuple(name for survey in done for name in survey.ids)
    yield Finding(WIRE_FIT, "ok", about, DISPLAY_WARNING)
    spacing = profile.constants.get("sensor_spacing_mm", 0.0)
    front, rear = found.get("front"), found.get("rear")
    if front and rear and spacing > 0:
        words = approach_in_words(angle_of_approach(front, rear, spacing))
        yield Finding(APPROACH, "ok", about, words, rule.source)


_CALCULATIONS: dict[str, Callable[[Profile, Computed, Session, Session], _Worked | None]] = {
    "loop_resistance": _loop_resistance,
    "contact_resistance": _contact_resistance,
    "difference": _difference,
}
