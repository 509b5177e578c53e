"""Self-correction in one breath, and corrections of what was said before."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.wording.parser import Parser

CORRECTED = {
    # in one breath: only what is right remains
    "front one oh two correction one twenty": ["loop_signal@front 120"],
    "front one oh two correction front one twenty": ["loop_signal@front 120"],
    "front 102 correction 103 correction 104": ["loop_signal@front 104"],
    "front one oh two correction rear": ["loop_signal@rear 102"],
    "front one oh two correction guide": ["guide_signal@front 102"],
    "front one oh two correction rear one oh two": ["loop_signal@rear 102"],
    "front 102 rear 90 correction front 120": ["loop_signal@front 120", "loop_signal@rear 90"],
    "front 102 rear 90 correction 91": ["loop_signal@front 102", "loop_signal@rear 91"],
    "front fifty sixty correction sixty": ["loop_signal@front 60"],
    "guide front correction rear 98": ["guide_signal@rear 98"],
    "front 102 docked correction undocked": [
        "loop_signal@front 102 station=undocked",
        "station=undocked",
    ],
    "front 102 docked correction 103": ["loop_signal@front 103 station=docked", "station=docked"],
    "guide front 102 rear 90 correction guide rear 91": [
        "guide_signal@front 102",
        "guide_signal@rear 91",
    ],
    "battery twelve correction twelve point five volts": ["battery_voltage 12.5 V"],
    "guide correction boundary 102": ["boundary_signal 102"],
    "front 102 correction guide 102": ["guide_signal@front 102"],
    "front 102 correction guide docked": [
        "guide_signal@front 102 station=docked",
        "station=docked",
    ],
    "docked correction undocked front 102": [
        "station=undocked",
        "loop_signal@front 102 station=undocked",
    ],
    "guide front what next correction 102": ["guide_signal@front 102", "!next_check"],
    "blades chipped correction blades sharp front 102": [
        "blade_condition: sharp",
        "loop_signal@front 102",
    ],
    "blades chipped front 102 correction blades sharp": [
        "blade_condition: sharp",
        "loop_signal@front 102",
    ],
    # what was not said in this breath was said before it
    "front 102 correction blades sharp": [
        "loop_signal@front 102",
        "correction blade_condition: sharp",
    ],
    "negative correction fifty": ["!negative", "correction bare 50"],
    # of what was said before
    "correction front one twenty": ["correction loop_signal@front 120"],
    "correction one twenty": ["correction bare 120"],
    "correction front 120 rear 90": [
        "correction loop_signal@front 120",
        "correction loop_signal@rear 90",
    ],
    "correction i say again front 120": ["correction loop_signal@front 120"],
    "correction undocked": ["correction station=undocked"],
    "correction complaint misses the station": ["correction complaint: misses the station"],
    "correction": ["!correction"],
    # in doubt
    "front one oh two correction rear ninety": ["??"],
    "front one oh two correction": ["??"],
    "docked correction": ["??"],
    "mower moved correction": ["??"],  # which ends several contexts: all of them or none
    "docked front 102 mower moved correction": [
        "station=docked",
        "loop_signal@front 102 station=docked",
        "??",
    ],
    "front 102 correction fifty sixty": ["??"],
    "front 102 docked 98 correction 97": ["??"],
    "front 102 correction guide battery 102": ["??"],
    "guide correction battery contact voltage 12": ["??"],
    "front correction rear front 102": ["??"],
    "front 102 correction say again": ["??", "!say_again"],
    "blades chipped correction blades": ["??", "??"],
    "docked correction mower moved": ["??", "station=", "load="],  # an event mends nothing
}


@pytest.mark.parametrize(("line", "expected"), CORRECTED.items())
def test_a_correction_mends_what_it_names(parser: Parser, line: str, expected: list[str]) -> None:
    assert meaning(parser, line) == expected


@pytest.mark.parametrize(
    "line",
    [
        "front one oh two correction one twenty",
        "front one oh two correction rear",
        "docked correction undocked",
        "blades chipped correction blades sharp",
        "front correction",
    ],
)
def test_what_is_mended_keeps_every_word_of_its_correction(parser: Parser, line: str) -> None:
    (mended,) = parser.parse_text(line)
    assert mended.heard == line
