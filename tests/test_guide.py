"""The guide "Write a profile in twenty minutes" is followed to the letter: its files are written,
its commands run, and what they print is compared with what the guide shows."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

GUIDE = Path(__file__).parents[1] / "grammars" / "README.md"
FILE = "emergency_lighting.toml"
BLOCK = re.compile(r"^```(\w+) ?(.*)\n((?:.*\n)*?)```$", re.M)
VARYING = (
    (re.compile(r"\d{8}-\d{6}-unit\w*-[0-9a-f]{4}"), "SESSION"),
    (re.compile(r"head [0-9a-f]{8}"), "head HEAD"),
)
"""What no two runs have alike."""


@dataclass(frozen=True, slots=True)
class Block:
    kind: str
    about: str
    text: str


@dataclass(frozen=True, slots=True)
class Step:
    command: str
    shown: str


def blocks() -> tuple[Block, ...]:
    return tuple(Block(*found.groups()) for found in BLOCK.finditer(GUIDE.read_text("utf-8")))


def steps(console: str) -> Iterator[Step]:
    """Each command with the lines below it."""
    for part in re.split(r"^\$ ", console, flags=re.M)[1:]:
        command, _, shown = part.partition("\n")
        yield Step(command, shown)


def write(block: Block, folder: Path) -> None:
    """A block is added to the end of the profile, put in after a line of it, or a file by name."""
    path = folder / (block.about if block.about.endswith(".toml") else FILE)
    there = path.read_text("utf-8") if path.exists() else ""
    if block.about.startswith("insert-after"):
        line = shlex.split(block.about)[1] + "\n"
        assert there.count(line) == 1
        path.write_text(there.replace(line, line + block.text), "utf-8")
    else:
        path.write_text(f"{there}\n{block.text}".lstrip(), "utf-8")


def run(command: str, folder: Path) -> str:
    """What it prints, on either stream, in a terminal of eighty columns."""
    program = folder / "bin" / "benchcall"
    if not program.exists():
        program.parent.mkdir()
        program.write_text(
            f"#!{sys.executable}\nfrom assistant.commands import main\nmain()\n", "utf-8"
        )
        program.chmod(0o755)
    done = subprocess.run(
        command,
        shell=True,
        cwd=folder,
        env={
            **os.environ,
            "PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(GUIDE.parents[1]),
            "BENCHCALL_HOME": str(folder / "home"),
            "COLUMNS": "80",
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.stdout


def plain(text: str) -> str:
    """Without what varies from run to run, and without blanks at the ends of lines."""
    for pattern, word in VARYING:
        text = pattern.sub(word, text)
    return "\n".join(line.rstrip() for line in text.strip("\n").splitlines())


def test_whoever_types_along_sees_what_the_guide_shows(tmp_path: Path) -> None:
    compared = 0
    for block in blocks():
        if block.kind == "toml":
            write(block, tmp_path)
            continue
        assert block.kind == "console"
        for step in steps(block.text):
            printed = run(step.command, tmp_path)
            assert plain(printed) == plain(step.shown), step.command
            compared += bool(printed)
    assert compared >= 9


def test_every_table_of_the_guide_is_in_the_finished_profile(tmp_path: Path) -> None:
    from assistant.profile import read_profile

    for block in blocks():
        if block.kind == "toml":
            write(block, tmp_path)
    profile = read_profile(tmp_path / FILE)
    assert [cause.id for cause in profile.cause] == ["battery_worn", "charger", "bulb"]
    assert profile.profile.machine == "lamp"
    assert any(round_.release for round_ in profile.round)
