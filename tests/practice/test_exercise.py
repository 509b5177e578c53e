"""Exercises are files that people write: a wrong one names line, field and fix."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.errors import ProfileError, UnknownNameError
from assistant.practice.exercise import read_exercise
from assistant.practice.library import SHIPPED, Library
from assistant.practice.scene_drawing import display_rows
from assistant.practice.scene_picture import scene_svg
from assistant.practice.wanted import wanted_readings
from assistant.profile import load_profile
from tests.practice.conftest import LIBRARY

GOOD = """\
id = "mine"
title = "Mine"
level = 1
kind = "dictate"
unit = "4"
story = "Unit 4."
trains = ["values"]

[[scene]]
where = { station = "docked" }
show = ["guide_signal@front 102"]
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, "utf-8")
    return path


def test_at_least_twelve_ship_of_all_kinds_from_the_first_minute_to_a_double_fault() -> None:
    assert LIBRARY.wrong == []
    assert len(LIBRARY.exercises) >= 12
    assert {e.kind for e in LIBRARY.exercises} == {"listen", "dictate", "find_fault"}
    assert {e.level for e in LIBRARY.exercises} == {1, 2, 3, 4, 5}
    assert any(e.mower is not None and len(e.mower.fault) == 2 for e in LIBRARY.exercises)


def test_every_shipped_file_is_named_after_its_exercise() -> None:
    for path in SHIPPED.glob("*.toml"):
        assert read_exercise(path).id == path.stem


def test_an_exercise_of_ones_own_is_found_beside_the_shipped_ones(tmp_path: Path) -> None:
    written(tmp_path, GOOD)
    library = Library(tmp_path)
    assert library.wrong == []
    assert library.find("mine").unit == "4"
    assert len(library.exercises) == len(LIBRARY.exercises) + 1


WRONG = {
    "a misspelt field": ("unit = ", "unti = ", 5, "did you mean unit"),
    "a kind that there is not": ('"dictate"', '"sing"', 4, "'listen', 'dictate' or 'find_fault'"),
    "a skill that there is not": ('["values"]', '["valves"]', 7, "did you mean values"),
    "a level out of range": ("level = 1", "level = 9", 3, "less than or equal to 5"),
    "a label that there is not": ("guide_signal@", "guide_signl@", 11, "guide_signal"),
    "a side that there is not": ("@front", "@top", 11, "front, rear"),
    "no side where there are two": ("@front", "", 11, "say which of front, rear"),
    "no number": (" 102", " high", 11, "a number, off_scale or no_reading"),
    "a context that there is not": ("station =", "staton =", 10, "did you mean station"),
    "a value of a context that there is not": ('"docked"', '"dokced"', 10, "docked, undocked"),
    "a table that belongs to another kind": ('"dictate"', '"listen"', None, "with kind"),
    "a profile that there is not": (
        'unit = "4"',
        'profile = "robot_mowr"',
        5,
        "the id of a profile",
    ),
    "a table that is missing": ("[[scene]]", "[[sceen]]", 9, "did you mean scene"),
    "a field left out": ('story = "Unit 4."\n', "", None, "this field must be there"),
    "broken TOML": ('title = "Mine"', "title = Mine", 2, "found 'title = Mine'"),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_exercise_is_told_by_line_field_and_fix(what: str, tmp_path: Path) -> None:
    old, new, line, told = WRONG[what]
    assert old in GOOD
    path = written(tmp_path, GOOD.replace(old, new, 1))
    with pytest.raises(ProfileError) as caught:
        read_exercise(path)
    message = str(caught.value)
    assert str(path) in message
    assert told in message
    if line is not None:
        assert f"line {line}" in message


MOWER = """\
id = "mine"
title = "Mine"
level = 1
kind = "find_fault"
story = "Unit 4."
trains = ["cause"]

[mower]
fault = ["front_sensor"]
garden = { front_gain = 0.4 }
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("front_sensor", "front_senso", "did you mean front_sensor"),
        ("front_sensor", "compass", "not_listed|station_off_level"),
        ("front_gain", "front_grain", "did you mean front_gain"),
        ("0.4", '"low"', "a number"),
    ],
)
def test_a_wrong_mower_is_told(old: str, new: str, told: str, tmp_path: Path) -> None:
    with pytest.raises(ProfileError) as caught:
        read_exercise(written(tmp_path, MOWER.replace(old, new)))
    assert re.search(told, str(caught.value))


def test_a_fault_of_another_trade_cannot_be_hidden(tmp_path: Path) -> None:
    text = MOWER.replace("level = 1", 'level = 1\nprofile = "garden_tractor"')
    with pytest.raises(ProfileError, match="only robot mowers can be simulated"):
        read_exercise(written(tmp_path, text))


def test_a_trap_that_is_no_cause_is_told(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match="did you mean rear_sensor"):
        read_exercise(written(tmp_path, MOWER + 'trap = ["rear_senso"]\n'))


def test_a_context_that_nothing_shows_needs_a_caption(tmp_path: Path) -> None:
    text = GOOD.replace('station = "docked"', 'wire = "guide"')
    with pytest.raises(ProfileError, match="a caption, or a 'seen' with this context"):
        read_exercise(written(tmp_path, text))
    shown = text.replace("[[scene]]", '[[scene]]\ncaption = "A new sensor is in."')
    assert read_exercise(written(tmp_path, shown)).scene[0].caption


def test_a_recording_of_ones_own_needs_what_is_said_in_it_and_no_session(tmp_path: Path) -> None:
    (tmp_path / "own.wav").write_bytes(b"")
    text = GOOD.replace('"dictate"', '"listen"').split("[[scene]]")[0]
    text += '[sound]\nfile = "own.wav"\n'
    with pytest.raises(ProfileError, match="or scenes that say what should be in the record"):
        read_exercise(written(tmp_path, text))
    text += '[[sound.scene]]\nwhere = { station = "docked" }\nshow = ["guide_signal@front 1.50"]\n'
    exercise = read_exercise(written(tmp_path, text))
    [wanted] = wanted_readings(exercise, tmp_path, load_profile())
    assert (wanted.label, wanted.value) == (("guide_signal", "front"), "1.50")
    assert wanted.context == {"station": "docked"}


def test_a_recording_that_is_not_there_is_told(tmp_path: Path) -> None:
    text = GOOD.replace('"dictate"', '"listen"').split("[[scene]]")[0]
    text += '[sound]\nfile = "gone.wav"\n[[sound.scene]]\nshow = ["guide_signal@front 1"]\n'
    with pytest.raises(ProfileError, match=r"gone\.wav.*a recording that is there"):
        read_exercise(written(tmp_path, text))


def test_a_wrong_file_of_ones_own_does_not_hide_the_others(tmp_path: Path) -> None:
    written(tmp_path, "no toml")
    library = Library(tmp_path)
    assert len(library.exercises) == len(LIBRARY.exercises)
    assert "mine.toml, line 1" in library.wrong[0]


def test_an_id_that_is_taken_is_told_and_the_shipped_one_stays(tmp_path: Path) -> None:
    written(tmp_path, GOOD.replace('"mine"', '"first_minute"'))
    library = Library(tmp_path)
    assert "first_minute" in library.wrong[0]
    assert library.find("first_minute").unit == "31"


def test_an_unknown_exercise_is_answered_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="first_minute"):
        LIBRARY.find("first_minuet")


@pytest.mark.parametrize(
    ("show", "drawn"),
    [("boundary_resistance off_scale", "OL"), ("guide_signal@front no_reading", "---")],
)
def test_what_has_no_number_is_drawn_as_a_meter_shows_it(
    show: str, drawn: str, tmp_path: Path
) -> None:
    label = GOOD.replace("guide_signal@front 102", show)
    [scene] = read_exercise(written(tmp_path, label)).scene
    assert [value for _, value in display_rows(scene, load_profile())] == [drawn]
    assert drawn in scene_svg(scene, load_profile())
