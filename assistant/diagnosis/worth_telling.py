"""What is worth telling though it judges nothing: where to open a broken wire next, whether the
battery's voltage fits its cells, how long charging takes."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.diagnosis.battery import (
    EMPTY_VOLTS,
    FULL_VOLTS,
    NOMINAL_VOLTS,
    charging_minutes,
    pack_volts,
    possible_cells,
)
from assistant.diagnosis.finding import Finding
from assistant.diagnosis.measured import last_with_value
from assistant.diagnosis.reasons import number_words, reading_words
from assistant.diagnosis.resistance import halve
from assistant.profile.schema import Profile
from assistant.record.session import Session

COMMON = "arithmetic on common practice, no source"


def worth_telling(profile: Profile, session: Session) -> Iterator[Finding]:
    """Rules ``wire_break``, ``battery_cells`` and ``charging_time``, each where its readings
    were taken."""
    yield from _wire_break(session)
    yield from _battery_cells(profile, session)
    yield from _charging_time(profile, session)


def _wire_break(session: Session) -> Iterator[Finding]:
    whole = last_with_value(session, "wire_whole_until")
    broken = last_with_value(session, "wire_broken_within")
    if whole is None or broken is None:
        return
    about = (whole.id, broken.id)
    span = f"the wire is whole up to {whole.value} m and broken within {broken.value} m"
    try:
        next_cut = halve(float(str(whole.value)), float(str(broken.value)))
    except ValueError as error:
        yield Finding("wire_break", "unknown", about, str(error))
        return
    if next_cut.steps == 0:
        yield Finding("wire_break", "ok", about, f"{span}: located, dig there")
        return
    times = "once more" if next_cut.steps == 1 else f"{next_cut.steps} times more"
    reason = f"{span}: measure next at {number_words(next_cut.at, 3)} m; halving {times} finds it"
    yield Finding("wire_break", "unknown", about, reason)


def _battery_cells(profile: Profile, session: Session) -> Iterator[Finding]:
    reading = last_with_value(session, "rested_voltage")
    reading = reading or last_with_value(session, "battery_voltage")
    cells = int(profile.constants.get("battery_cells", 0))
    if reading is None or not cells:
        return
    volts = float(str(reading.value))
    full = profile.constants.get("cell_full_volts", FULL_VOLTS)
    nominal = pack_volts(cells, profile.constants.get("cell_nominal_volts", NOMINAL_VOLTS))
    words = f"{reading_words(profile, reading)} is {number_words(volts / cells, 3)} volts a cell"
    words += f" over {cells} cells (nominal {nominal:g}, full {pack_volts(cells, full):g} volts)"
    fitting = possible_cells(volts, EMPTY_VOLTS, full)
    if cells in fitting:
        yield Finding("battery_cells", "ok", (reading.id,), words, COMMON)
        return
    others = ", ".join(str(n) for n in fitting) or "no number of"
    words += f", which no cell can have: it would fit {others} cells. A cell may be dead, or this "
    words += "is another pack"
    yield Finding("battery_cells", "suspect", (reading.id,), words, COMMON)


def _charging_time(profile: Profile, session: Session) -> Iterator[Finding]:
    current = last_with_value(session, "charging_current")
    capacity = last_with_value(session, "battery_capacity")
    rated = profile.constants.get("battery_rated_amp_hours", 0.0)
    amp_hours = float(str(capacity.value)) if capacity else rated
    if current is None or amp_hours <= 0 or float(str(current.value)) <= 0:
        return
    minutes = charging_minutes(amp_hours, float(str(current.value)))
    whose = "measured" if capacity else "rated"
    reason = f"{reading_words(profile, current)}: {whose} {amp_hours:g} amp hours fill from empty "
    reason += f"in {number_words(minutes)} minutes at the least, the last tenth goes slower"
    about = (current.id, capacity.id) if capacity else (current.id,)
    yield Finding("charging_time", "ok", about, reason, COMMON)
