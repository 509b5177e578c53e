"""Exact inference against published networks and decisions."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from assistant.diagnosis.inference import (
    Floats,
    best_action,
    combined,
    entropy_bits,
    information_bits,
    noisy_or,
    update,
    value_with_test,
)

NAMES = ("asia", "smoke", "tub", "lung", "bronc", "xray", "dysp")
STATES = list(product([True, False], repeat=len(NAMES)))
AT = {name: np.array([state[i] for state in STATES]) for i, name in enumerate(NAMES)}
AT["either"] = AT["tub"] | AT["lung"]


def asia() -> Floats:
    """The `asia` network (Lauritzen and Spiegelhalter 1988) with the tables of pgmpy's
    utils/example_models/asia.bif.gz, every joint state one hypothesis."""

    def chance(name: str, of_yes: Floats | float) -> Floats:
        return np.where(AT[name], of_yes, 1 - np.asarray(of_yes))

    both = np.where(AT["bronc"], np.where(AT["either"], 0.9, 0.8), np.where(AT["either"], 0.7, 0.1))
    return np.asarray(
        chance("asia", 0.01)
        * chance("smoke", 0.5)
        * chance("tub", np.where(AT["asia"], 0.05, 0.01))
        * chance("lung", np.where(AT["smoke"], 0.1, 0.01))
        * chance("bronc", np.where(AT["smoke"], 0.6, 0.3))
        * chance("xray", np.where(AT["either"], 0.98, 0.05))
        * chance("dysp", both)
    )


@pytest.mark.parametrize(
    ("seen", "expected"),
    [  # pgmpy VariableElimination on asia.bif.gz; pyAgrum agrees
        ({}, (0.0104, 0.055, 0.45, 0.064828)),
        ({"dysp": True}, (0.0188453075, 0.1027592228, 0.8339673363, 0.1205358343)),
        ({"dysp": True, "asia": True}, (0.0877509650, 0.0995251451, 0.8114020716, 0.1822998528)),
        ({"dysp": True, "xray": True}, (0.1139333254, 0.6212527967, 0.6818685385, 0.7287250930)),
        (
            {"dysp": True, "asia": True, "smoke": False, "xray": False},
            (0.0027349773, 0.0005469955, 0.7728300879, 0.0032546230),
        ),
    ],
)
def test_the_asia_table_is_reproduced(
    seen: dict[str, bool], expected: tuple[float, float, float, float]
) -> None:
    evidence = [np.where(AT[name] == yes, 1.0, 0.0) for name, yes in seen.items()]
    belief = update(asia(), evidence)
    found = [belief[AT[name]].sum() for name in ("tub", "lung", "bronc", "either")]
    assert found == pytest.approx(expected, abs=5e-11)


def test_the_chance_of_the_evidence_is_reproduced() -> None:
    """P(dysp), P(dysp, xray): pyAgrum on the same network."""
    joint = asia()
    assert joint[AT["dysp"]].sum() == pytest.approx(0.4359706, abs=1e-7)
    assert joint[AT["dysp"] & AT["xray"]].sum() == pytest.approx(0.0706701, abs=1e-7)


def test_value_of_information_on_asia_is_reproduced() -> None:
    """pyAgrum InformationTheory, in bits; its file reader is single precision, so 1e-6."""
    belief = asia()
    lung = np.stack([AT["lung"], ~AT["lung"]]).astype(float)
    assert entropy_bits(lung @ belief) == pytest.approx(0.307268, abs=1e-6)
    expected = {"xray": 0.184807, "smoke": 0.032374, "dysp": 0.025382, "bronc": 0.0025398}
    for name, bits in (expected | {"asia": 0.0, "tub": 0.0}).items():
        test = np.stack([AT[name], ~AT[name]]).astype(float)
        assert information_bits(belief, test, lung) == pytest.approx(bits, abs=1e-6), name


OIL = np.array([0.5, 0.3, 0.2])
DRILL_OR_NOT = np.array([[-70.0, 50.0, 200.0], [0.0, 0.0, 0.0]])
SEISMIC = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])


def test_the_oil_wildcatter_decides_as_published() -> None:
    """Numbers from memory of Raiffa, Decision Analysis (1968); pyAgrum's influence diagram
    agrees. Payoffs in thousands: dry, wet, soaking; seismic: no, open, closed structure."""
    assert best_action(OIL, DRILL_OR_NOT) == (0, pytest.approx(20))
    assert value_with_test(OIL, DRILL_OR_NOT, np.eye(3)) == pytest.approx(55)
    assert value_with_test(OIL, DRILL_OR_NOT, SEISMIC) == pytest.approx(32.5)
    policy = [best_action(update(OIL, [row]), DRILL_OR_NOT)[0] == 0 for row in SEISMIC]
    assert policy == [False, True, True]


def test_tests_combined_tell_no_less_than_each_alone() -> None:
    other = np.array([[0.9, 0.2, 0.1], [0.1, 0.8, 0.9]])
    both = combined([SEISMIC, other], 3)
    assert both.sum(axis=0) == pytest.approx(np.ones(3))
    assert information_bits(OIL, both) > max(
        information_bits(OIL, SEISMIC), information_bits(OIL, other)
    )


def test_noisy_or_leaves_the_leak_when_nothing_is_there() -> None:
    assert noisy_or(0.03, []) == pytest.approx(0.03)
    assert noisy_or(0.1, [0.5, 0.8]) == pytest.approx(1 - 0.9 * 0.5 * 0.2)


def test_impossible_evidence_is_refused() -> None:
    with pytest.raises(ValueError, match="impossible"):
        update(np.array([1.0, 0.0]), [np.array([0.0, 1.0])])


def test_what_is_certain_has_no_entropy() -> None:
    assert entropy_bits(np.array([1.0, 0.0])) == 0.0
    assert entropy_bits(np.array([0.5, 0.5, 0.0])) == pytest.approx(1.0)
