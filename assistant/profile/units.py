"""Which unit codes are UCUM: the part of the code that a bench needs, from UCUM's own tables."""

from __future__ import annotations

import re

PREFIXES = ("G", "M", "k", "d", "c", "m", "u", "n", "p")
METRIC = (
    *("m", "s", "g", "L", "K", "Cel", "V", "A", "Ohm", "S", "W", "J", "N", "Pa", "bar", "Hz"),
    *("T", "F", "H", "C", "lm", "lx", "cd", "mol", "rad"),
)
PLAIN = ("1", "%", "deg", "h", "min", "d", "wk", "[in_i]", "[ft_i]", "[yd_i]", "[degF]", "[lb_av]")
ALLOWED = 'a UCUM code such as "V", "mA", "Ohm", "MOhm", "mm", "mm2", "A.h", "Cel", "%", "1"'

_METRIC = f"(?:{'|'.join(PREFIXES)})?(?:{'|'.join(METRIC)})"
_ATOM = f"(?:{_METRIC}|{'|'.join(re.escape(code) for code in PLAIN)})"
_TERM = f"{_ATOM}(?:-?[1-9])?"
_CODE = re.compile(f"/?{_TERM}(?:[./]{_TERM})*")


def is_ucum(code: str) -> bool:
    """Whether ``code`` is a case-sensitive UCUM code made of this module's atoms.

    >>> is_ucum("A.h"), is_ucum("Ah"), is_ucum("ohm"), is_ucum("mm2")
    (True, False, False, True)
    """
    return _CODE.fullmatch(code) is not None
