"""A depot's own profile file works in type, check and report."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

from assistant.commands import app
from assistant.shipped import shipped

RUN = CliRunner()


def test_a_profile_file_of_ones_own_is_used_from_dictating_to_the_report(tmp_path: Path) -> None:
    text = (shipped("grammars") / "robot_mower.toml").read_text("utf-8")
    own = tmp_path / "our_depot.toml"
    own.write_text(text.replace('id = "robot_mower"', 'id = "our_depot"', 1), "utf-8")
    words = "undocked guide front 40\n"
    done = RUN.invoke(app, ["type", "--profile", str(own)], input=words)
    assert done.exit_code == 0, done.output
    assert "no profile 'our_depot'" in str(RUN.invoke(app, ["check", "last"]).exception)
    done = RUN.invoke(app, ["check", "last", "--profile", str(own)])
    assert "guide signal front 40" in done.stdout
    done = RUN.invoke(app, ["report", "last", "--profile", str(own), "--out", str(tmp_path)])
    assert done.exit_code == 0, done.output
