"""`benchcall profiles` lists what is there and refuses what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import typer
from typer.testing import CliRunner

from assistant.commands.profiles import profiles
from assistant.shipped import shipped

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


def test_errors_go_to_standard_error(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, [str(tmp_path / "none.toml")])
    assert result.exit_code == 1
    assert "There is no file" in result.stderr
    assert not result.stdout
