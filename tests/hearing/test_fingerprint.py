"""One SHA-256 for a model, which a person can take again with the system's own tools."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from assistant.hearing.fingerprint import Fingerprints


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in (
        ("b.txt", "b"),
        ("a/z", "z"),
        ("a-b", "x"),
        ("a/.hid", "h"),
        (".git/c", "c"),
    ):
        path = tmp_path / "model" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return tmp_path / "model"


def test_a_files_is_that_of_its_content(tmp_path: Path) -> None:
    (tmp_path / "abc").write_bytes(b"abc")
    # FIPS 180-2, appendix B.1: the digest of "abc".
    assert Fingerprints().of(tmp_path / "abc") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_a_folders_is_what_the_shell_gives(folder: Path) -> None:
    if not shutil.which("sha256sum"):
        pytest.skip("this system has no sha256sum")
    shutil.rmtree(folder / ".git")
    (folder / "a" / ".hid").unlink()
    line = "find * -type f | LC_ALL=C sort | xargs sha256sum | sha256sum"
    told = subprocess.run(line, shell=True, cwd=folder, capture_output=True, text=True, check=True)
    assert Fingerprints().of(folder) == told.stdout.split()[0]


def test_hidden_files_and_a_folders_place_do_not_count(folder: Path, tmp_path: Path) -> None:
    before = Fingerprints().of(folder)
    (folder / "a" / ".hid").unlink()
    shutil.rmtree(folder / ".git")
    assert Fingerprints().of(folder.rename(tmp_path / "elsewhere")) == before


@pytest.mark.parametrize("change", ["content", "name", "more", "less"])
def test_every_change_shows(change: str, folder: Path) -> None:
    before = Fingerprints().of(folder)
    match change:
        case "content":
            (folder / "b.txt").write_text("B", "utf-8")
        case "name":
            (folder / "b.txt").rename(folder / "c.txt")
        case "more":
            (folder / "empty").write_text("", "utf-8")
        case "less":
            (folder / "b.txt").unlink()
    assert Fingerprints().of(folder) != before


def test_only_the_files_named_count(folder: Path) -> None:
    before = Fingerprints().of(folder, ["b.txt", "not there"])
    (folder / "a-b").unlink()
    assert Fingerprints().of(folder, ["b.txt", "not there"]) == before


def test_what_is_remembered_is_read_again_when_it_changes(folder: Path, tmp_path: Path) -> None:
    memory = tmp_path / "data" / "fingerprints.json"
    first = Fingerprints(memory).of(folder)
    file = folder / "b.txt"
    times = file.stat().st_atime_ns, file.stat().st_mtime_ns
    file.write_text("B", "utf-8")
    os.utime(file, ns=times)
    assert Fingerprints(memory).of(folder) == first, "same size and time: taken from memory"
    os.utime(file, ns=(times[0], times[1] + 1_000_000_000))
    assert Fingerprints(memory).of(folder) == Fingerprints().of(folder) != first


@pytest.mark.parametrize("kept", ["", "{", "[]", '{"a": 1}', "\x00"])
def test_a_damaged_memory_is_forgotten(kept: str, folder: Path, tmp_path: Path) -> None:
    memory = tmp_path / "fingerprints.json"
    memory.write_text(kept, "utf-8")
    assert Fingerprints(memory).of(folder) == Fingerprints().of(folder)


def test_a_memory_that_can_not_be_kept_costs_nothing_but_time(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    memory = tmp_path / "file" / "fingerprints.json"
    assert Fingerprints(memory).of(folder) == Fingerprints().of(folder)
