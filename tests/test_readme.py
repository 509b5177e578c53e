"""What the README shows is true: its commands, its examples, its files."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import typer.main

from assistant.commands import app
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")


def rows(title: str) -> list[list[str]]:
    """The table whose first heading is ``title``, as cells."""
    table = README[README.index(f"| {title} |") :].split("\n\n")[0]
    return [[cell.strip() for cell in line.split(" | ")] for line in table.splitlines()[2:]]


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title == "# benchcall"
    assert "robot mower" in paragraph


def test_the_continuous_check_calls_the_readmes_test_command() -> None:
    [command] = re.findall(r"<!-- test command -->\n```\n(.+)\n```", README)
    assert command.startswith("python3 -m venv .venv && .venv/bin/pip install")
    assert command.endswith(".venv/bin/python -m pytest")
    assert "<!-- test command -->" in (ROOT / ".ci" / "run").read_text("utf-8")
    assert command in (ROOT / "DEVELOPERS.md").read_text("utf-8").replace(
        "install '", "install -q '"
    )


def test_every_example_of_what_to_say_is_understood(tmp_path: Path) -> None:
    assistant = open_assistant(Store(tmp_path), load_profile())
    said = [phrase for row in rows("you say") for phrase in re.findall(r"`([^`]+)`", row[0])]
    assert len(said) > 15
    for phrase in said:
        turn = assistant.type(phrase)
        assert turn.settled, phrase
        assert all(one.status != "nothing" for one in turn.settled), phrase
    assistant.close()


def test_every_command_of_the_readme_exists_and_every_command_is_in_it() -> None:
    group = typer.main.get_command(app)
    named = {re.findall(r"`benchcall (\w+)", row[0])[0] for row in rows("command")}
    assert named == set(group.commands)  # type: ignore[attr-defined]


@pytest.mark.parametrize("path", sorted(set(re.findall(r"\]\(([^)#]+)\)", README))))
def test_every_file_that_the_readme_links_to_is_there(path: str) -> None:
    assert (ROOT / path).exists()


def test_the_top_level_holds_only_what_was_agreed() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("not a git checkout")
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == {
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "assistant",
        "demo_audio",
        "grammars",
        "models",
        "pyproject.toml",
        "tests",
    }


def test_help_imports_nothing_heavy() -> None:
    program = (
        "import sys; import assistant.commands; "
        "heavy = {'numpy', 'scipy', 'spacy', 'pydantic', 'onnxruntime', 'vosk', 'matplotlib', "
        "'pocketsphinx', 'faster_whisper', 'sounddevice'} & set(sys.modules); "
        "print(*sorted(heavy))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert (done.returncode, done.stdout.strip()) == (0, ""), done.stderr
