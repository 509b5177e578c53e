"""The names most like one that nothing has, for "did you mean"."""

from __future__ import annotations

from collections.abc import Iterable

MOST = 3


def nearest(name: str, names: Iterable[str]) -> list[str]:
    """Up to three of ``names`` that are written much like ``name``, the likest first.

    >>> nearest("guide_signl", ["guide_signal", "battery_voltage"])
    ['guide_signal']
    """
    from rapidfuzz import fuzz, process

    return [
        found
        for found, _, _ in process.extract(
            name, list(names), scorer=fuzz.ratio, limit=MOST, score_cutoff=60
        )
    ]
