"""One context governs the whole utterance; two of a key each govern what follows."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.wording.parser import Parser

GOVERNED = {
    "guide front one oh two rear minus sixty five docked": [
        "guide_signal@front 102 station=docked",
        "guide_signal@rear -65 station=docked",
        "station=docked",
    ],
    "front one oh two, rear minus sixty five, docked": [
        "loop_signal@front 102 station=docked",
        "loop_signal@rear -65 station=docked",
        "station=docked",
    ],
    "undocked front 102": ["station=undocked", "loop_signal@front 102 station=undocked"],
    "docked front 102 undocked rear 98": [
        "station=docked",
        "loop_signal@front 102 station=docked",
        "station=undocked",
        "loop_signal@rear 98 station=undocked",
    ],
    "front 102 docked rear 98 undocked": [
        "loop_signal@front 102 ?station",
        "station=docked",
        "loop_signal@rear 98 station=docked",
        "station=undocked",
    ],
    "front 102 docked rear 98 docked": [
        "loop_signal@front 102 station=docked",
        "station=docked",
        "loop_signal@rear 98 station=docked",
        "station=docked",
    ],
    # two keys govern side by side
    "after repair undocked front 102": [
        "repair=after",
        "station=undocked",
        "loop_signal@front 102 repair=after station=undocked",
    ],
    # a label holds for both halves of a comparison
    "contact voltage open 28.1 loaded 24": [
        "load=open",
        "contact_voltage 28.1 load=open",
        "load=loaded",
        "contact_voltage 24 load=loaded",
    ],
    # the label carries on past a context, unless that says which wire
    "guide front 102 docked rear 98": [
        "guide_signal@front 102 station=docked",
        "station=docked",
        "guide_signal@rear 98 station=docked",
    ],
    "docked front no reading undocked rear 98": [
        "station=docked",
        "loop_signal@front no_reading station=docked",
        "station=undocked",
        "loop_signal@rear 98 station=undocked",
    ],
    # between label and number
    "guide docked front 102": ["station=docked", "guide_signal@front 102 station=docked"],
    # two wires
    "front 102 guide wire rear 98 boundary wire": [
        "loop_signal@front 102 ?wire",
        "wire=guide",
        "guide_signal@rear 98",
        "wire=boundary",
    ],
    # a wire alone is a context
    "guide wire": ["wire=guide"],
    "guide": ["wire=guide"],
    "boundary docked": ["station=docked", "wire=boundary"],
    # an event ends contexts
    "mower moved docked": ["station=", "load=", "station=docked"],
    "docked": ["station=docked"],
    # nothing is inferred from a sign
    "guide rear minus sixty five": ["guide_signal@rear -65"],
    # "undocked" and "and docked" sound alike
    "front 102 and docked": ["loop_signal@front 102 ?station", "??"],
    "on docked": ["??"],
    "front 102 and docked loaded": [
        "loop_signal@front 102 load=loaded ?station",
        "load=loaded",
        "??",
    ],
    "and docked undocked": ["station=undocked", "??"],
}


@pytest.mark.parametrize(("line", "expected"), GOVERNED.items())
def test_contexts_govern_by_the_rule(parser: Parser, line: str, expected: list[str]) -> None:
    assert sorted(meaning(parser, line)) == sorted(expected)


def test_what_ends_a_context_leaves_it_open_for_what_follows(parser: Parser) -> None:
    before, *ended, after = meaning(parser, "front 102 mower moved rear 98")
    assert before == "loop_signal@front 102"
    assert "station=" in ended
    assert after.startswith("loop_signal@rear 98 ?station")


def test_a_context_before_the_move_does_not_reach_past_it(parser: Parser) -> None:
    said = meaning(parser, "docked front 102 mower moved rear 98")
    assert said[1] == "loop_signal@front 102 station=docked"
    assert "station=docked" not in said[-1]
