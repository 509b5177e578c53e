"""Names that overlap, as another trade's profile may have them: what follows decides."""

from __future__ import annotations

import pytest
from said import meaning

from assistant.profile import load_profile, load_spoken
from assistant.wording.parser import Parser

PROFILE, SPOKEN = load_profile(), load_spoken()


def with_observation(*spoken: str) -> Parser:
    """The blades are called so."""
    named = tuple(
        item.model_copy(update={"spoken": spoken}) if item.id == "blade_condition" else item
        for item in PROFILE.observation
    )
    return Parser(PROFILE.model_copy(update={"observation": named}), SPOKEN)


def with_command(called: str, *spoken: str) -> Parser:
    named = tuple(
        command.model_copy(update={"spoken": spoken}) if command.id == called else command
        for command in SPOKEN.command
    )
    return Parser(PROFILE, SPOKEN.model_copy(update={"command": named}))


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("battery chipped", ["blade_condition: chipped"]),
        ("battery 12.5", ["battery_voltage 12.5"]),
        ("disregard battery", ["!disregard battery_voltage"]),
    ],
)
def test_a_name_of_both_is_an_observation_only_with_its_choice(
    line: str, expected: list[str]
) -> None:
    assert meaning(with_observation("battery"), line) == expected


def test_an_observation_named_after_a_position_needs_its_own_choice() -> None:
    parser = with_observation("rear")
    assert meaning(parser, "rear 98") == ["loop_signal@rear 98"]
    assert meaning(parser, "rear chipped") == ["blade_condition: chipped"]
    assert meaning(parser, "disregard rear") == ["!disregard loop_signal@rear"]


def test_a_name_made_of_two_labels_is_one_name() -> None:
    assert meaning(with_observation("guide front"), "guide front chipped") == [
        "blade_condition: chipped"
    ]
    assert meaning(with_command("job", "guide front"), "guide front A12") == ["!job A12"]


def test_a_name_that_begins_with_a_number_is_no_number() -> None:
    parser = with_command("next_check", "two blades next")
    assert meaning(parser, "docked two blades next") == ["station=docked", "!next_check"]
    assert meaning(parser, "front two") == ["loop_signal@front 2"]
