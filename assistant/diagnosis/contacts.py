"""What the charging contacts lose: resistance from the voltage open and loaded, and the current.

R = (open − loaded) / current. Everything between the supply and the contacts is in it: cable,
plugs and the supply's own resistance, so that a high value is first looked for at the contacts,
and found by measuring along the way.
"""

from __future__ import annotations

from math import hypot

from assistant.diagnosis.estimate import Estimate, reading_uncertainty
from assistant.errors import NotDeterminedError

COVERAGE = 2.0
"""Coverage factor for about 95 % (JCGM 100, 6.3.3)."""


def contact_resistance(open_volts: str, loaded_volts: str, amps: str) -> Estimate:
    """In Ω, from decimal strings that keep the digits said: the last digit's uncertainty is
    carried through. Raises NotDeterminedError without a current, or with no fall to speak of."""
    before, after, current = float(open_volts), float(loaded_volts), float(amps)
    if current <= 0:
        raise NotDeterminedError(
            "No charging current flows, so that the contacts' resistance can't be told: empty the "
            "battery a little and measure again."
        )
    if after > before:
        raise NotDeterminedError(
            f"The contacts read more loaded ({loaded_volts}) than open ({open_volts}): the two "
            "were changed over, or the supply rose. Measure both again."
        )
    resistance = (before - after) / current
    volts = hypot(reading_uncertainty(open_volts), reading_uncertainty(loaded_volts))
    share = reading_uncertainty(amps) / current
    return Estimate(resistance, COVERAGE * hypot(volts / current, resistance * share))
