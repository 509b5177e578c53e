from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.depot.collect import Fate, collect
from assistant.errors import RecordError, UnknownNameError
from assistant.profile import load_profile
from assistant.record.audio import AudioFolder
from assistant.record.store import Store

from .hollin_bank import CLEAN, FAULTY, Bench


@pytest.fixture
def stick(tmp_path: Path) -> Bench:
    return Bench(tmp_path / "stick")


@pytest.fixture
def home(tmp_path: Path) -> Store:
    return Store(tmp_path / "here")


def fates(home: Store, stick: Bench) -> list[Fate]:
    return [one.fate for one in collect(home, stick.home)]


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.suffix != ".lock"
    }


def go_on(store: Store, name: str) -> None:
    with store.open(name, load_profile()) as record:
        record.finish()


def test_sessions_come_home_with_their_sound_byte_for_byte(stick: Bench, home: Store) -> None:
    names = [stick.session(*FAULTY), stick.session(*CLEAN, unit="7")]
    sound = AudioFolder(stick.store.folder / names[0] / "audio").keep(np.zeros(1600, np.float32))
    told = collect(home, stick.home)
    assert [(one.session, one.fate, one.sounds) for one in told] == [
        (names[0], "new", 1),
        (names[1], "new", 0),
    ]
    assert files(home.folder) == files(stick.store.folder)
    assert AudioFolder(home.folder / names[0] / "audio").path(sound) is not None
    assert home.read(names[0]) == stick.store.read(names[0])


def test_collecting_twice_changes_nothing(stick: Bench, home: Store) -> None:
    stick.session(*FAULTY)
    assert fates(home, stick) == ["new"]
    before = files(home.folder)
    assert fates(home, stick) == ["known"]
    assert files(home.folder) == before


def test_a_session_that_went_on_is_brought_up_to_date_and_never_back(
    stick: Bench, home: Store
) -> None:
    name = stick.session(*CLEAN, closed=False)
    assert fates(home, stick) == ["new"]
    old = Bench(stick.home.parent / "old")
    shutil.copytree(stick.home, old.home, dirs_exist_ok=True)
    go_on(stick.store, name)
    assert fates(home, stick) == ["longer"]
    assert home.read(name).closed is not None
    assert fates(home, old) == ["known"]
    assert home.read(name).closed is not None


def test_two_that_part_ways_are_told_and_neither_is_touched(stick: Bench, home: Store) -> None:
    name = stick.session(*CLEAN, closed=False)
    collect(home, stick.home)
    with home.open(name, load_profile()) as record:
        record.withdraw("2")
    go_on(stick.store, name)
    before = files(home.folder)
    [one] = collect(home, stick.home)
    assert one.fate == "refused"
    assert "part ways after line" in one.told
    assert files(home.folder) == before


def test_a_review_on_the_stick_comes_too_and_a_rival_one_is_refused(
    stick: Bench, home: Store
) -> None:
    name = stick.session(*CLEAN)
    collect(home, stick.home)
    with stick.store.review(name, "MB") as review:
        review.comment("well measured")
    assert fates(home, stick) == ["longer"]
    assert home.read(name).notes[0].by == "MB"
    with home.review(name, "MB") as review:
        review.comment("again")
    with stick.store.review(name, "RT") as review:
        review.comment("not so well")
    assert fates(home, stick) == ["refused"]


@pytest.mark.parametrize("place", ["journal.jsonl", "review.jsonl"])
def test_a_damaged_copy_never_replaces_a_whole_one(stick: Bench, home: Store, place: str) -> None:
    name = stick.session(*CLEAN)
    with stick.store.review(name, "MB") as review:
        review.comment("well measured")
    collect(home, stick.home)
    before = files(home.folder)
    path = stick.store.folder / name / place
    path.write_bytes(path.read_bytes()[:-200] + b"x" * 200 + b"\n")
    assert fates(home, stick) in (["known"], ["refused"])
    assert files(home.folder) == before


def test_what_is_damaged_on_the_stick_comes_in_to_be_seen_and_is_mended_by_a_whole_one(
    stick: Bench, home: Store
) -> None:
    name = stick.session(*FAULTY)
    whole = stick.journal(name).read_bytes()
    stick.journal(name).write_bytes(whole.replace(b'"value":"70"', b'"value":"98"'))
    stick.session(*CLEAN)
    assert fates(home, stick) == ["damaged", "new"]
    stick.journal(name).write_bytes(whole)
    assert fates(home, stick) == ["longer", "known"]
    assert (home.folder / name / "journal.jsonl").read_bytes() == whole
    assert (home.folder / name / "journal.jsonl.damaged").exists()


def test_sound_that_does_not_fit_its_hash_stays_behind(stick: Bench, home: Store) -> None:
    name = stick.session(*CLEAN)
    audio = stick.store.folder / name / "audio"
    audio.mkdir()
    (audio / f"{hashlib.sha256(b'one').hexdigest()}.wav").write_bytes(b"two")
    (audio / "run.sh").write_text("echo")
    (audio / f"{'0' * 64}.wav").symlink_to("/etc/passwd")
    [one] = collect(home, stick.home)
    assert "left behind" in one.told
    assert not (home.folder / name / "audio").exists()


def test_sound_erased_here_does_not_come_back(stick: Bench, home: Store) -> None:
    name = stick.session(*CLEAN)
    sound = AudioFolder(stick.store.folder / name / "audio").keep(np.zeros(1600, np.float32))
    collect(home, stick.home)
    here = AudioFolder(home.folder / name / "audio")
    here.erase(sound)
    collect(home, stick.home)
    assert here.path(sound) is None
    assert here.erased(sound)


def swap(stick: Bench, name: str) -> None:
    stick.journal(name).parent.rename(stick.store.folder / "20260101-000000-unit1-0000")


def link(stick: Bench, name: str) -> None:
    stick.journal(name).unlink()
    stick.journal(name).symlink_to("/etc/hostname")


def empty(stick: Bench, name: str) -> None:
    stick.journal(name).unlink()


@pytest.mark.parametrize("spoil", [swap, link, empty])
def test_what_is_no_session_of_its_name_is_refused(
    stick: Bench, home: Store, spoil: Callable[[Bench, str], None]
) -> None:
    spoil(stick, stick.session(*CLEAN))
    assert fates(home, stick) == ["refused"]
    assert list(home.folder.iterdir()) == []


def test_practice_on_the_stick_is_left_there(stick: Bench, home: Store) -> None:
    stick.session(*CLEAN)
    Bench(stick.home / "practice").session(*FAULTY)
    assert fates(home, stick) == ["new"]


def test_a_folder_without_sessions_is_told(home: Store, tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="no sessions in"):
        collect(home, tmp_path)
    with pytest.raises(UnknownNameError, match="plugged in"):
        collect(home, tmp_path / "nowhere")


def test_a_file_too_large_to_be_a_journal_is_refused(
    stick: Bench, home: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick.session(*CLEAN)
    monkeypatch.setattr("assistant.depot.collect.MOST_BYTES", 100)
    [one] = collect(home, stick.home)
    assert one.fate == "refused"
    assert "journal.jsonl is larger" in one.told


def test_a_full_disk_is_told_and_what_was_copied_is_whole(
    stick: Bench, home: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, _ = sorted([stick.session(*CLEAN), stick.session(*FAULTY)])
    count = 0

    def full(*_: object) -> None:
        nonlocal count
        count += 1
        if count > 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("assistant.depot.collect.sync_folder", full)
    with pytest.raises(RecordError, match=r"No space left .* then collect again"):
        collect(home, stick.home)
    assert [listed.id for listed in home.sessions()] == [first]
    assert home.read(first).readings


def test_collect_as_a_user_runs_it(
    stick: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path / "here"))
    monkeypatch.delenv("BENCHCALL_INDEX", raising=False)
    name = stick.session(*FAULTY)
    done = CliRunner().invoke(app, ["collect", str(stick.home)])
    assert done.exit_code == 0, done.output
    assert "Sessions: 1 new. Recordings copied: 0." in done.output
    journal = stick.journal(name)
    journal.write_bytes(journal.read_bytes().replace(b"102", b"112"))
    done = CliRunner().invoke(app, ["collect", str(stick.home)])
    assert "1 known already" in done.output
    assert "benchcall review" not in done.output
    journal.write_bytes(journal.read_bytes()[:-400])
    here = tmp_path / "here" / "sessions" / name
    shutil.rmtree(here)
    done = CliRunner().invoke(app, ["collect", str(stick.home)])
    assert done.exit_code == 1
    assert f"{name}: damaged, brought in as it is." in done.output
    assert "See them: benchcall review" in done.output
