"""Help that shows how, and a Tab key that knows the names."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console
from typer.main import get_command

from assistant.commands import app
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.report.terminal import show_session
from assistant.session import Assistant
from tests.needs import need_command

GROUP = get_command(app)
COMMANDS = sorted(GROUP.commands)  # type: ignore[attr-defined]


def example(name: str) -> list[str]:
    """The words of the example in a command's help; what is piped into it is left out."""
    text = GROUP.commands[name].help or ""  # type: ignore[attr-defined]
    [line] = re.findall(r"Example: (.*)", text)
    return shlex.split(line.rpartition(" | ")[2])


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_shows_an_example_that_it_takes(name: str) -> None:
    program, command, *arguments = example(name)
    assert (program, command) == ("benchcall", name)
    with GROUP.commands[name].make_context(name, list(arguments)):  # type: ignore[attr-defined]
        pass  # a wrong option or a missing argument raises


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_says_what_it_does(name: str) -> None:
    for parameter in GROUP.commands[name].params:  # type: ignore[attr-defined]
        assert getattr(parameter, "help", None), f"{name} {parameter.name}"


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command under its own name, as the shell calls it."""
    path = tmp_path_factory.mktemp("bin") / "benchcall"
    text = f"#!{sys.executable}\nfrom assistant.commands import main\nmain()\n"
    path.write_text(text, "utf-8")
    path.chmod(0o755)
    return path


def answered(program: Path, arguments: list[str], **environment: str) -> str:
    path = f"{program.parent}{os.pathsep}{os.environ['PATH']}"
    root = str(Path(__file__).parents[2])
    done = subprocess.run(
        arguments,
        env={**os.environ, "PATH": path, "PYTHONPATH": root, **environment},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )
    assert done.stderr == ""
    return done.stdout


def test_tab_knows_commands_profiles_exercises_and_sessions(program: Path, tmp_path: Path) -> None:
    (tmp_path / "profiles").mkdir()
    (tmp_path / "profiles" / "gas_boiler.toml").touch()
    (tmp_path / "sessions" / "20260504-080905-unit47-3fa9").mkdir(parents=True)

    def completed(*words: str) -> list[str]:
        return answered(
            program,
            [str(program)],
            _BENCHCALL_COMPLETE="complete_bash",
            COMP_WORDS=" ".join(("benchcall", *words)),
            COMP_CWORD=str(len(words)),
            BENCHCALL_HOME=str(tmp_path),
        ).split()

    assert completed("pr") == ["practise", "profiles"]
    assert completed("type", "--profile", "ga") == ["garden_tractor", "gas_boiler"]
    assert completed("practise", "first") == ["first_minute"]
    assert completed("check", "") == ["last", "20260504-080905-unit47-3fa9"]
    assert completed("type", "--session", "2026") == ["20260504-080905-unit47-3fa9"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_script_is_right_in_its_shell(
    shell: str, program: Path, tmp_path: Path
) -> None:
    script = answered(program, [str(program)], _BENCHCALL_COMPLETE=f"source_{shell}")
    assert "benchcall" in script
    path = tmp_path / f"benchcall.{shell}"
    path.write_text(script, "utf-8")
    assert answered(program, [need_command(shell, shell), "-n", str(path)]) == ""


def test_bash_completes_through_its_own_function(program: Path) -> None:
    script = answered(program, [str(program)], _BENCHCALL_COMPLETE="source_bash")
    ask = "COMP_WORDS=(benchcall li); COMP_CWORD=1; _benchcall_completion benchcall; "
    told = f'{script}\n{ask}echo "${{COMPREPLY[@]}}"'
    assert answered(program, [need_command("bash", "bash"), "-c", told]).strip() == "listen"


def test_help_imports_no_part_of_the_program_that_does_the_work() -> None:
    """What is imported decides how soon help is there; seconds depend on the machine."""
    program = (
        "import sys; import assistant.commands; "
        "ours = [m for m in sys.modules if m.startswith('assistant')]; "
        "print(*sorted({'.'.join(m.split('.')[:2]) for m in ours}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    parts = {"assistant", "assistant.commands", "assistant.errors", "assistant.home"}
    assert set(done.stdout.split()) <= parts | {"assistant.shipped"}, done.stdout


COLOURED = re.compile(r"\x1b\[(?:[0-9;]*;)?(?:3[0-7]|38|4[0-7]|48|9[0-7]|10[0-7])[;m]")


def drawn(assistant: Assistant) -> str:
    """A session as `benchcall check` draws it in a terminal of many colours."""
    console = Console(file=StringIO(), force_terminal=True, color_system="truecolor", width=80)
    show_session(assistant.session, assistant.diagnosis, assistant.profile, console)
    assert isinstance(console.file, StringIO)
    return console.file.getvalue()


def test_no_color_is_honoured_and_the_marks_tell_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assistant = open_assistant(Store(tmp_path), load_profile())
    assistant.type("undocked guide front forty six, rear ninety eight")
    assistant.type("quality one hundred")
    monkeypatch.delenv("NO_COLOR", raising=False)
    coloured = drawn(assistant)
    monkeypatch.setenv("NO_COLOR", "1")
    plain = drawn(assistant)
    assistant.close()
    assert COLOURED.search(coloured)
    assert not COLOURED.search(plain)
    bare = [re.sub(r"\x1b\[[0-9;]*m", "", text) for text in (coloured, plain)]
    assert bare[0] == bare[1]
    assert "! suspect" in bare[1]
    assert "✓ in tolerance" in bare[1]
