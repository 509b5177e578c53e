"""A file may have any name: none of it steers the terminal on which it is told."""

from __future__ import annotations

import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.write import write_wav
from assistant.commands import main
from assistant.shipped import shipped

STEERS = "a\x1b[2J\x1b]0;owned\x07\u202e"


def steers_nothing(words: str) -> bool:
    return "[2J" in words and not set(words) & {"\x1b", "\x07", "\u202e"}


@pytest.mark.parametrize(
    "arguments",
    [("check", "{}"), ("profiles", "{}.toml"), ("type", "--profile", "{}.toml")],
)
def test_what_is_refused_is_named_without_its_control_characters(
    tmp_path: Path,
    arguments: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(f"{STEERS}.toml").write_text("no profile", "utf-8")
    monkeypatch.setattr("sys.argv", ["benchcall", *(a.format(STEERS) for a in arguments)])
    with pytest.raises(SystemExit):
        main()
    told = capsys.readouterr()
    assert steers_nothing(told.out + told.err.replace("\\x1b", "")), told


def test_a_profile_is_listed_without_its_control_characters(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (shipped("grammars") / "garden_tractor.toml").read_text("utf-8")
    path = tmp_path / "own.toml"
    path.write_text(text.replace('notice = "', 'notice = "\\u001b[2J\\u202e', 1), "utf-8")
    monkeypatch.setattr("sys.argv", ["benchcall", "profiles", str(path)])
    main_or_exit()
    assert steers_nothing(capsys.readouterr().out)


def main_or_exit() -> None:
    with suppress(SystemExit):
        main()


def test_a_warning_names_its_file_without_its_control_characters(tmp_path: Path) -> None:
    """In a process of its own: pytest takes the place of what writes warnings."""
    path = tmp_path / f"{STEERS}.wav"
    write_wav(path, np.zeros(16_000, np.float32))
    path.write_bytes(path.read_bytes()[:20_000])
    run = subprocess.run([sys.executable, "-c", WARNED, str(path)], capture_output=True, text=True)
    assert "cut short" in run.stderr
    assert steers_nothing(run.stderr)


WARNED = """
import sys
from contextlib import suppress
from assistant.commands import main
from assistant.audio.recording import read
path, sys.argv[1:] = sys.argv[1], ["--help"]
with suppress(SystemExit):
    main()
read(path)
"""
