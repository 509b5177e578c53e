"""How a UCUM unit code is written on a page and, where the profile gives no word, said aloud."""

from __future__ import annotations

from assistant.diagnosis.reasons import signed
from assistant.profile.schema import Quantity

_WRITTEN = {
    "1": "",
    "Ohm": "Ω",
    "mOhm": "mΩ",
    "kOhm": "kΩ",
    "MOhm": "MΩ",
    "Cel": "°C",
    "deg": "°",
    "uT": "µT",
    "A.h": "Ah",
    "[in_i]": "in",
}
_SAID = {
    "1": "",
    "V": "volts",
    "mV": "millivolts",
    "A": "amps",
    "mA": "milliamps",
    "Ohm": "ohms",
    "mOhm": "milliohms",
    "kOhm": "kilo ohms",
    "MOhm": "mega ohms",
    "%": "percent",
    "deg": "degrees",
    "Cel": "degrees",
    "mm": "millimetres",
    "m": "metres",
    "h": "hours",
    "min": "minutes",
}
_TIGHT = frozenset({"%", "deg"})
"""Written without a space after the number."""


def written(number: str, unit: str) -> str:
    """A number with its unit as a page prints it, every said decimal kept: ``12.50 V``.

    >>> written("-0.50", "Ohm")
    '−0.50 Ω'
    """
    text = signed(number)
    symbol = _WRITTEN.get(unit, unit)
    if not symbol:
        return text
    return f"{text}{symbol}" if unit in _TIGHT else f"{text} {symbol}"


def said(unit: str, quantity: Quantity | None = None) -> str:
    """The words for a unit: the profile's first word for the quantity's own unit, else the
    common one, else the code itself; empty for a plain count."""
    if quantity is not None and unit == quantity.unit and quantity.unit_spoken:
        return quantity.unit_spoken[0]
    return _SAID.get(unit, unit)
