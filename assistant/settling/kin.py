"""Ears of one make: they learnt alike and go by the same sound, so they may be wrong together.

The own ear and its twin differ in build, seed and script (phones, letters), yet on 2,600 hearings,
most amid noise, they agreed on 21 wrong values out of 1,973 (two for three amid dripping water); of
1,510 on which both were sure by 12 nats none was wrong, and the surest mistake had 10.7.
"""

from __future__ import annotations

from collections.abc import Iterable

KIN = frozenset({"own", "letters"})
KIN_SURE = 12.0
"""Nats by which each of them must be sure, where nobody else bears witness."""


def only_kin(ears: Iterable[str]) -> bool:
    """Whether all of these ears are of the one make."""
    return KIN.issuperset(ears)
