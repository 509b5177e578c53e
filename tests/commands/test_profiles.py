"""`benchcall profiles` lists what is there and refuses what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import typer
from typer.testing import CliRunner

from assistant.commands.profiles import profiles
from assistant.profile import load_profile, load_spoken
from assistant.shipped import shipped
from assistant.wording.parser import Parser
from assistant.wording.statement import ReadingSaid

app = typer.Typer()
app.command()(profiles)


def test_the_shipped_profiles_are_listed_with_their_counts_and_notice() -> None:
    result = CliRunner().invoke(app, [])
    assert result.exit_code == 0
    assert "robot_mower" in result.output
    assert "14 causes" in " ".join(result.output.split())
    assert "not the maker's" in result.output


def test_json_gives_one_object_a_line() -> None:
    result = CliRunner().invoke(app, ["--json"])
    rows = [json.loads(line) for line in result.output.splitlines()]
    assert [row["id"] for row in rows if row["id"] == "robot_mower"] == ["robot_mower"]
    assert all(row["valid"] for row in rows)


def test_a_wrong_file_is_told_and_the_right_ones_are_still_listed(tmp_path: Path) -> None:
    text = (shipped("grammars") / "robot_mower.toml").read_text("utf-8")
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(text, "utf-8")
    bad.write_text(text.replace("low = 67", 'low = "many"'), "utf-8")
    result = CliRunner().invoke(app, [str(bad), str(good), str(tmp_path / "none.toml"), "--json"])
    assert result.exit_code == 1
    wrong, right, none = (json.loads(line) for line in result.output.splitlines())
    assert right["valid"]
    assert "bad.toml, line " in wrong["error"]
    assert "found 'many'; allowed: a number" in wrong["error"]
    assert "There is no file" in none["error"]


def test_all_that_may_be_said_is_listed_and_understood() -> None:
    """Each way of each reading's name, and each choice of what is seen."""
    told = CliRunner().invoke(app, ["robot_mower", "--words"]).output
    parser = Parser(load_profile(), load_spoken())
    readings = told.split("unit if you like:\n")[1].split("\n\n")[0].splitlines()
    assert (
        "  guide signal / guide / guide wire signal: front, rear (docked or undocked?)" in readings
    )
    for line in readings:
        for label in line.split(":")[0].split(", in ")[0].split(" / "):
            assert isinstance(parser.parse_text(f"{label} one")[-1], ReadingSaid), label
    seen = told.split("see or are told:\n")[1].split("\n\n")[0].splitlines()
    assert "  blade screws / screws: tight, loose, worn, missing" in seen
    assert "safety release / safety" in told
    assert "what next: the check most worth doing" in told
    assert "  between a number and the label behind it: on" in told
    assert "  before a context: mower is" in told


def test_a_folder_is_no_profile(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, [str(tmp_path)])
    assert "is a folder. Name the profile in it" in result.stderr


def test_errors_go_to_standard_error(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, [str(tmp_path / "none.toml")])
    assert result.exit_code == 1
    assert "There is no file" in result.stderr
    assert not result.stdout
