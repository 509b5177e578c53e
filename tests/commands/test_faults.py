"""Faults of disk, clock and process as a user of the command line meets them."""

from __future__ import annotations

import ctypes
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.record.journal import Journal, read_journal
from assistant.record.store import JOURNAL
from assistant.shipped import shipped

RUN = CliRunner()
SAID = "unit one four\nundocked\nguide front one oh two\nguide rear ninety eight\n"
MAIN = "from assistant.commands import main; main()"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    return tmp_path


def typed(words: str, *options: str) -> str:
    done = RUN.invoke(app, ["type", *options], input=words, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done.stdout


def journal_of(home: Path) -> Path:
    [path] = home.glob(f"sessions/*/{JOURNAL}")
    return path


def values(path: Path) -> list[str]:
    return [e.body["value"] for e in read_journal(path) if e.kind == "reading"]


def as_anybody() -> None:
    """Root, too, may write only where it is allowed to: what is started next lacks the capability
    CAP_DAC_OVERRIDE (1) of its bounding set (PR_CAPBSET_DROP, 24). Others never had it."""
    ctypes.CDLL(None).prctl(24, 1, 0, 0, 0)


def in_a_process(
    *options: str,
    words: str = "",
    before: str = "",
    command: str = "type",
    first: Callable[[], None] | None = None,
) -> subprocess.CompletedProcess[str]:
    script = f"import sys; sys.argv = ['benchcall', '{command}', *sys.argv[1:]]; {before}\n{MAIN}"
    return subprocess.run(
        [sys.executable, "-c", script, *options],
        input=words, capture_output=True, text=True, check=False,
        cwd=Path(__file__).parents[2], preexec_fn=first,
    )  # fmt: skip


def test_a_session_that_broke_off_goes_on_and_says_where_it_stands(home: Path) -> None:
    typed(SAID)
    told = typed("guide front ninety, undocked\n", "--session", "last")
    assert "unit 14: 2 readings so far" in told
    assert "the last one: guide signal rear 98, undocked" in told
    assert values(journal_of(home)) == ["102", "98", "90"]


def test_a_context_from_before_it_broke_off_no_longer_holds(home: Path) -> None:
    typed(SAID)
    assert "docked or undocked?" in typed("guide front ninety\n", "--session", "last")


def test_after_power_was_lost_at_any_place_it_goes_on_with_all_that_was_read_back(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", lambda _: None)  # hundreds of flushes tell nothing here
    typed(SAID)
    path = journal_of(home)
    whole = path.read_bytes()
    first = whole.index(b"\n") + 1
    for cut in range(first, len(whole), 97):
        path.write_bytes(whole[:cut] + bytes(cut % 3 * 50))  # some file systems leave zeros
        before = values_of(whole[:cut])
        told = typed("battery voltage eighteen point two\n", "--session", "last")
        assert values(path) == [*before, "18.2"]
        torn = whole[:cut].rpartition(b"\n")[2] or cut % 3
        assert ("broke off while something was being entered" in told) is bool(torn)
        for aside in path.parent.glob("*.torn"):
            aside.unlink()


def values_of(data: bytes) -> list[str]:
    """The readings whose line is whole, line feed and all."""
    lines = [json.loads(line) for line in data.split(b"\n")[:-1]]
    return [line["body"]["value"] for line in lines if line["kind"] == "reading"]


def test_a_damaged_session_is_not_gone_on_in_and_the_line_is_named(home: Path) -> None:
    typed(SAID)
    path = journal_of(home)
    damaged = path.read_bytes().replace(b'"102"', b'"103"')
    path.write_bytes(damaged)
    done = in_a_process("--session", "last", words="undocked\n")
    assert done.returncode == 1
    assert "damaged at line" in done.stderr
    assert path.read_bytes() == damaged


def test_a_session_that_another_process_writes_is_refused(home: Path) -> None:
    typed(SAID)
    with Journal.reopen(journal_of(home)):
        done = in_a_process("--session", "last", words="undocked\n")
    assert done.returncode == 1
    assert f"Process {os.getpid()} is already writing" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_session_of_another_trade_is_refused(home: Path) -> None:
    typed(SAID)
    done = in_a_process("--session", "last", "--profile", "garden_tractor", words="\n")
    assert done.returncode == 1
    assert "robot_mower" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="there is no RLIMIT_FSIZE")
def test_a_disk_that_takes_no_more_stops_it_and_what_was_printed_is_recorded(home: Path) -> None:
    full = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))"
    lines = "\n".join(f"running hours one {n} five" for n in ("one", "two", "three") * 5)
    done = in_a_process(words=lines, before=full)
    assert done.returncode == 1
    assert "NOT RECORDED" in done.stderr
    assert "--session" in done.stderr
    printed = [line.split()[3] for line in done.stdout.splitlines() if "✓ running hours" in line]
    assert 2 < len(printed) < 15
    assert values(journal_of(home)) == printed
    typed("running hours one nine five\n", "--session", "last")
    assert values(journal_of(home)) == [*printed, "195"]


@pytest.mark.skipif(sys.platform == "win32", reason="there is no RLIMIT_FSIZE")
def test_a_disk_too_full_for_the_sound_of_a_recording_is_told(home: Path) -> None:
    full = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (30000, 30000))"
    wav = str(shipped("demo_audio") / "unit_31_clean" / "1_docked.wav")
    done = in_a_process(wav, "--ear", "own", command="hear", before=full)
    assert done.returncode == 1
    assert "NOT RECORDED: the sound could not be kept" in done.stderr
    assert "✓" not in done.stdout
    assert values(journal_of(home)) == []


@pytest.mark.skipif(sys.platform != "linux", reason="root is kept from writing by Linux only")
def test_a_folder_that_may_not_be_written_is_told_with_what_to_do(home: Path) -> None:
    home.chmod(0o555)
    done = in_a_process(words=SAID, first=as_anybody)
    assert done.returncode == 1
    assert "BENCHCALL_HOME" in done.stderr
    assert "✓" not in done.stdout


def test_a_clock_set_back_in_the_middle_changes_no_order(home: Path) -> None:
    back = (
        "import assistant.record.store as s, datetime as d, itertools\n"
        "c = itertools.count()\n"
        "real = s.now\n"
        "def back(): return real() - d.timedelta(days=next(c))\n"
        "s.Store.__init__.__defaults__ = (None, back)"
    )
    script = SAID.replace("ninety eight", "eighty").replace("unit one four\n", "")
    released = "guards good\nlift stop good\ntipping stop good\nstop button passes\n"
    released += "blade stop passes\ncollision stop good\nedge stop passes\n"
    repaired = "after repair, undocked\nguide front one oh two\nguide rear ninety eight\n"
    done = in_a_process(words=script + repaired + released + "close job\n", before=back)
    assert done.returncode == 0, done.stderr
    assert "repair proven" in done.stdout
    assert "ready for use: safety release done" in done.stdout
    at = [entry.at for entry in read_journal(journal_of(home))]
    assert at == sorted(at, reverse=True), "the clock went back with every entry"
