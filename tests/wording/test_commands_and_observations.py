"""Commands with what they take; choices, identifiers, free words and notes."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.profile import load_profile, load_spoken
from assistant.wording.parser import Parser

SAID = {
    "say again": ["!say_again"],
    "what next": ["!next_check"],
    "read back all": ["!read_back"],
    "negative": ["!negative"],
    "front 102 negative": ["loop_signal@front 102", "!negative"],
    "negative one oh four": ["bare -104"],
    "negative i say again one oh four": ["!negative", "bare 104"],
    "no, front 104": ["!negative", "loop_signal@front 104"],
    "disregard": ["!disregard"],
    "disregard front": ["!disregard loop_signal@front"],
    "disregard guide front": ["!disregard guide_signal@front"],
    "disregard the rear guide": ["!disregard guide_signal@rear"],
    "disregard battery": ["!disregard battery_voltage"],
    "disregard front 102": ["??"],
    "disregard the blade screws": ["!disregard blade_screws"],
    "disregard blade screws worn": ["!disregard blade_screws@worn"],
    "compare guide": ["!compare guide_signal"],
    "compare guide 102": ["??"],
    "start round sensors": ["!start_round sensors"],
    "start round": ["??"],
    "front 102, what next": ["loop_signal@front 102", "!next_check"],
    # identifiers
    "unit four seven": ["!job 47"],
    "unit forty seven": ["!job 47"],
    "unit zero four seven": ["!job 047"],
    "unit alfa one two": ["!job A12"],
    "unit a double seven bravo": ["!job A77B"],
    "unit x ray twelve fifty": ["!job X1250"],
    "unit A12": ["!job A12"],
    "unit one hundred": ["??"],
    "unit double ten": ["??"],
    "unit A-12": ["!job A-12"],
    "unit A12 docked": ["!job A12", "station=docked"],
    "unit forty seven docked": ["!job 47", "station=docked"],
    "unit": ["??"],
    "unit four seven guide front 102": ["!job 47", "guide_signal@front 102"],
    "fault code echo one two": ["fault_code: E12"],
    # choices
    "blades chipped": ["blade_condition: chipped"],
    "blades are not chipped": ["??"],
    "blades": ["??"],
    "blades twelve": ["??"],
    "blades twelve i say again thirteen": ["??"],
    "blades chipped blade screws tight": ["blade_condition: chipped", "blade_screws: tight"],
    # free words
    "complaint mower misses the station, docked": ["complaint: mower misses the station, docked"],
    "complaint": ["??"],
    "note seal looks tired, rear one oh two": ["note: seal looks tired, rear one oh two"],
    "front 102 note the joint is green": ["loop_signal@front 102", "note: the joint is green"],
    "note": ["!note"],
    # chatter holds no command
    "do you know why": ["??"],
    "yes I think so": ["??"],
}


@pytest.mark.parametrize(("line", "expected"), SAID.items())
def test_commands_and_observations(parser: Parser, line: str, expected: list[str]) -> None:
    assert meaning(parser, line) == expected


@pytest.mark.parametrize(
    ("machine", "line", "expected"),
    [
        ("unit", "unit is one four", ["!job 14"]),
        ("mower", "the mower is docked", ["station=docked"]),
    ],
)
def test_the_name_of_the_machine_carries_nothing_unless_it_is_a_command(
    machine: str, line: str, expected: list[str]
) -> None:
    mower = load_profile()
    named = mower.profile.model_copy(update={"machine": machine})
    parser = Parser(mower.model_copy(update={"profile": named}), load_spoken())
    assert meaning(parser, line) == expected


def test_an_identifier_needs_no_letters() -> None:
    numbers_only = load_spoken().model_copy(update={"letters": {}})
    parser = Parser(load_profile(), numbers_only)
    assert meaning(parser, "unit one four") == ["!job 14"]
    assert meaning(parser, "unit bravo") == ["??"]
