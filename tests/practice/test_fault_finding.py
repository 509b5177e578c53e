"""Looking for a hidden fault: what can be typed, what it costs, and what it says back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from assistant.errors import UnknownNameError
from assistant.practice.exercise import Mower
from assistant.practice.fault_finding import FaultFinding
from assistant.practice.garden import healthy_garden
from assistant.practice.hidden_fault import hide
from assistant.practice.room import PracticeRoom
from assistant.practice.steady_mower import steady_mower
from tests.practice.conftest import EXERCISES

Say = Callable[..., str]


@pytest.fixture
def play(room: PracticeRoom) -> Iterator[FaultFinding]:
    """Unit 14: its guide wire lies 130 mm out of line, and it stands in its station."""
    found = room.start(EXERCISES["fault_crooked_wire"])
    assert isinstance(found, FaultFinding)
    found.begin()
    yield found
    found.close()


@pytest.fixture
def say(play: FaultFinding) -> Say:
    def say(*lines: str) -> str:
        """What comes back to the last of these lines."""
        *_, last = [play.type(line) for line in lines]
        return "\n".join(last.lines)

    return say


@pytest.mark.parametrize("line", ["", "help", "?"])
def test_help_says_what_can_be_typed(say: Say, line: str) -> None:
    assert "drive in, drive out" in say(line)


def test_checks_and_causes_are_listed_by_number_and_a_check_done_is_marked(say: Say) -> None:
    assert "  17 Look at the contact faces of mower and station: 1 min" in say("checks")
    assert "  10 worn charging contacts" in say("causes")
    assert "charging contact faces" in say("check 17")
    assert "contact faces of mower and station: 1 min (done)" in say("checks")


def test_what_there_is_not_is_told_and_ends_nothing(say: Say, play: FaultFinding) -> None:
    assert say("check 99") == "  There is no check 99; checks lists them."
    assert say("cause gremlins") == "  There is no cause “gremlins”; causes lists them."
    assert play.done is None


def test_it_is_driven_out_once_and_read_where_it_stands(say: Say) -> None:
    """Docked, the rear sensor swings negative over the station's own antenna wire."""
    assert "guide signal rear −" in say("docked", "guide rear")
    assert "mower" in say("drive out")
    assert say("drive out") == "  It stands there already."
    assert "guide signal rear −" not in say("undocked", "guide rear")


def test_open_or_loaded_is_asked_before_the_volts_are_read(say: Say) -> None:
    assert say("contact voltage") == "  contact voltage: open or loaded? Say that first."
    assert "contact voltage 2" in say("open", "contact voltage")


def test_a_check_says_open_and_loaded_for_you(say: Say) -> None:
    told = say("check contact_volts")
    assert "✓ open" in told
    assert "✓ loaded" in told


def test_a_survey_reads_the_signals_at_each_shift(say: Say, play: FaultFinding) -> None:
    """And the record knows them, so that the diagnosis fits the wire: 130 mm to the left."""
    told = say("drive out", "undocked", "check 8")
    shifts = [r.value for r in play._bench.session.readings if r.quantity == "wire_shift"]
    assert shifts == ["-150", "-100", "-50", "0", "50", "100", "150", "0"]
    assert "sideways shift −150 mm" in told
    found = re.findall(r"the wire lies (\d+) mm left of the middle", told)
    assert all(abs(int(place) - 130) < 15 for place in found)
    assert len(found) >= 2


def test_what_no_display_of_it_shows_is_told(say: Say, play: FaultFinding) -> None:
    before = play.prompt
    assert say("running hours").startswith("  running hours: this mower's display shows none")
    assert play.prompt == before


def test_what_cannot_be_seen_on_it_is_told(say: Say) -> None:
    assert say("blade screws") == "  blade screws: nothing to be seen."


def test_a_value_that_no_check_takes_costs_a_minute_once(say: Say, play: FaultFinding) -> None:
    say("docked", "guide front", "guide front")
    assert play.prompt == "1 min"


def test_a_cause_is_named_by_its_number_title_or_id_and_nothing_wrong_is_nought(
    room: PracticeRoom,
) -> None:
    for line in ("cause 3", "cause guide wire out of line", "causes: guide_wire_out_of_line"):
        play = room.start(EXERCISES["fault_crooked_wire"])
        play.begin()
        play.type(line)
        assert play.done is not None
        assert not [lost for lost in play.done.score.lost if lost.section == "cause"], line
        room.finish(play)
    play = room.start(EXERCISES["fault_crooked_wire"])
    play.begin()
    play.type("cause 0, and ")
    assert play.done is not None
    reasons = [lost.reason for lost in play.done.score.lost if lost.section == "cause"]
    assert any("Not there: nothing is wrong" in reason for reason in reasons)
    play.close()


def test_what_was_never_said_of_where_it_stood_costs_half_the_stretch(
    say: Say, play: FaultFinding
) -> None:
    say("guide front", "cause 3")
    assert play.done is not None
    [lost] = [one for one in play.done.score.lost if one.section == "context"]
    assert (lost.rule, lost.points) == ("unsaid_context", 10.0)
    assert "the record does not say so" in lost.reason


def test_a_mower_without_numbers_of_its_own_is_drawn_from_its_seed_each_time_the_same() -> None:
    two = [steady_mower(Mower(fault=("front_sensor",), seed=7)) for _ in range(2)]
    read = [mower.read("guide_signal", "front", {"station": "undocked"}) for mower in two]
    assert read[0] == read[1]
    assert two[0].garden.front_gain < 0.85 <= two[0].garden.rear_gain
    other = steady_mower(Mower(fault=("front_sensor",), seed=8))
    assert other.garden != two[0].garden


def test_a_fault_that_there_is_not_is_told() -> None:
    rng = np.random.default_rng(1)
    with pytest.raises(UnknownNameError, match="to practise on; there are: station_off_level"):
        hide(healthy_garden(rng), "gremlins", rng)


def test_a_station_leans_lengthwise_or_across_as_the_dice_fall() -> None:
    gardens = [
        hide(replace(healthy_garden(rng), lean=0.0, lean_aside=0.0), "station_off_level", rng)
        for rng in (np.random.default_rng(seed) for seed in range(12))
    ]
    assert {garden.lean_aside == 0.0 for garden in gardens} == {True, False}
    assert all(max(abs(g.lean), abs(g.lean_aside)) >= 3.5 for g in gardens)
