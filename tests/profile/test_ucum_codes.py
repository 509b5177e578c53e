"""The small table of UCUM codes against a whole UCUM parser."""

from __future__ import annotations

import pytest
from ucumvert import get_ucum_parser

from assistant.profile import load_profile
from assistant.profile.units import METRIC, PLAIN, PREFIXES, is_ucum


def test_every_code_that_is_let_through_is_ucum() -> None:
    # ucumvert, whose grammar is made from ucum-essence.xml
    parser = get_ucum_parser()
    codes = [*METRIC, *PLAIN, *(prefix + atom for prefix in PREFIXES for atom in METRIC)]
    codes += ["mm2", "A.h", "m/s", "m/s2", "N.m", "1/min", "/min", "kW.h", "Ohm.mm2/m"]
    for code in codes:
        assert is_ucum(code), code
        parser.parse(code)


def test_every_unit_of_the_shipped_profile_is_ucum() -> None:
    parser = get_ucum_parser()
    for unit in {q.unit for q in load_profile().quantity}:
        parser.parse(unit)


@pytest.mark.parametrize(
    "code",
    [
        "",
        "Volt",
        "volts",
        "ohm",
        "Ah",
        "°",
        "°C",
        "Ω",
        "mdeg",
        "k%",
        "mm²",
        "V ",
        "A h",
        "A..h",
        "/",
    ],
)
def test_what_is_no_ucum_code_is_refused(code: str) -> None:
    # check by hand against UCUM 2.2: deg and % take no prefix, codes are case sensitive
    assert not is_ucum(code)
