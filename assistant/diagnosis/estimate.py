"""A worked-out number with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import sqrt


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with half its 95 % interval, both in the number's unit."""

    value: float
    half_width: float

    @property
    def interval(self) -> tuple[float, float]:
        return self.value - self.half_width, self.value + self.half_width


def reading_uncertainty(said: str) -> float:
    """Standard uncertainty of a display read to its last said digit: half that digit either way,
    evenly spread (JCGM 100, 4.3.7: a/√3). The meter's own error is not in it."""
    exponent = Decimal(said).as_tuple().exponent
    assert isinstance(exponent, int)
    return float(10.0**exponent / 2 / sqrt(3))
