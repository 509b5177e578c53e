"""An archive heard again: resumed, spread over processes, and with one of them killed."""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from assistant.archive.outputs import Outputs
from assistant.archive.rehear import file_hash, rehear
from assistant.archive.run import Heard, _outcome, run
from assistant.archive.way import Way, opened
from assistant.commands import app
from assistant.errors import AudioError, HearingError, ModelError, RecordError, UnknownNameError

from .clips import cut

EARS = ("pocketsphinx",)
"""One ear is enough to see that nothing is lost: all it hears is asked about."""
COUNT = 6


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("archive")
    paths = cut(folder / "2025", COUNT)
    (folder / "again.wav").write_bytes(paths[0].read_bytes())
    (folder / "notes.txt").write_text("no recording")
    return folder


@pytest.fixture(scope="module")
def alone(archive: Path, tmp_path_factory: pytest.TempPathFactory) -> Heard:
    """Heard one by one in this process: what every other way of hearing must come to."""
    return run(archive, tmp_path_factory.mktemp("alone"), ears=EARS)


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_every_recording_has_one_result_whatever_its_names(archive: Path, alone: Heard) -> None:
    assert (alone.files, alone.recordings, alone.heard, alone.refused) == (
        COUNT + 1,
        COUNT,
        COUNT,
        (),
    )
    found = {name for name in files(alone.folder) if len(name) == 64 + len(".json")}
    assert found == {f"{file_hash(path)}.json" for path in archive.rglob("*.wav")}
    lines = (alone.folder / "recordings.jsonl").read_text().splitlines()
    listed = {line["file"]: line["audio"] for line in map(json.loads, lines)}
    assert len(listed) == COUNT + 1
    assert listed["again.wav"] == listed["2025/000.wav"]


def test_a_result_holds_what_was_heard_and_by_what(archive: Path, alone: Heard) -> None:
    results = [json.loads(data) for name, data in files(alone.folder).items() if len(name) > 60]
    readings = [r for result in results for job in result["jobs"] for r in job["readings"]]
    assert readings
    assert all(set(reading["ears"]) == set(EARS) for reading in readings)
    way = json.loads((alone.folder / "way.json").read_text())
    assert [ear for ear, _ in way["ears"]] == list(EARS)
    assert alone.folder.name.startswith(f"{way['software']}-")


@pytest.mark.filterwarnings("ignore")
def test_two_workers_give_what_one_by_one_gives_though_one_of_them_is_killed(
    archive: Path, alone: Heard, tmp_path: Path
) -> None:
    import psutil

    killed: list[int] = []
    told: list[int] = []

    def kill_one(done: int, _: int) -> None:
        told.append(done)
        if done == 1 and not killed:
            # With setproctitle installed a worker names itself.
            workers = [
                child
                for child in psutil.Process().children(recursive=True)
                if any(word in " ".join(child.cmdline()) for word in ("spawn_main", "dask worker"))
            ]
            assert len(workers) >= 2, workers
            killed.append(workers[-1].pid)
            os.kill(workers[-1].pid, signal.SIGKILL)

    both = run(archive, tmp_path, ears=EARS, workers=2, progress=kill_one)
    assert killed
    assert told == list(range(COUNT + 1))
    assert both.heard == COUNT
    assert files(both.folder) == files(alone.folder)


@pytest.mark.filterwarnings("ignore")
def test_a_cluster_elsewhere_is_used_by_its_address(
    archive: Path, alone: Heard, tmp_path: Path
) -> None:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None
    ) as c:
        there = run(archive, tmp_path, ears=EARS, scheduler=c.scheduler_address)
    assert files(there.folder) == files(alone.folder)


def test_a_run_goes_on_where_it_was_stopped(archive: Path, alone: Heard, tmp_path: Path) -> None:
    def stop(done: int, _: int) -> None:
        if done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(archive, tmp_path, ears=EARS, progress=stop)
    [folder] = tmp_path.iterdir()
    before = files(folder)
    assert sum(len(name) > 60 for name in before) == 3
    rest = run(archive, tmp_path, ears=EARS)
    assert (rest.known, rest.heard) == (3, COUNT - 3)
    assert files(rest.folder) == files(alone.folder)
    again = run(archive, tmp_path, ears=EARS)
    assert (again.known, again.heard) == (COUNT, 0)


def test_a_result_cut_off_or_exchanged_is_made_again(
    archive: Path, alone: Heard, tmp_path: Path
) -> None:
    here = run(archive, tmp_path, ears=EARS)
    one, other = sorted(path for path in here.folder.iterdir() if len(path.name) > 60)[:2]
    one.write_bytes(one.read_bytes()[:50])
    other.write_bytes(b"{}")
    assert run(archive, tmp_path, ears=EARS).heard == 2
    assert files(here.folder) == files(alone.folder)


def test_what_is_no_recording_is_told_and_the_others_are_heard(tmp_path: Path) -> None:
    folder = tmp_path / "archive"
    cut(folder, 1)
    (folder / "bad.wav").write_bytes(b"junk" * 100)
    (folder / "empty.wav").write_bytes(b"")
    (folder / "-65.wav").symlink_to(tmp_path / "nowhere")
    heard = run(folder, tmp_path / "out", ears=EARS)
    assert heard.heard == 1
    assert sorted(Path(path).name for path, _ in heard.refused) == ["bad.wav", "empty.wav"]
    lines = (heard.folder / "recordings.jsonl").read_text().splitlines()
    assert sum("refused" in json.loads(line) for line in lines) == 2


def test_a_folder_without_recordings_is_told(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="no recordings in"):
        run(tmp_path, tmp_path, ears=EARS)


@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_that_does_not_answer_is_told(archive: Path, tmp_path: Path) -> None:
    with pytest.raises(HearingError, match="dask scheduler"):
        run(archive, tmp_path, ears=EARS, scheduler="nonsense://nowhere")


def test_a_worker_with_other_models_hears_nothing(archive: Path) -> None:
    path = archive / "again.wav"
    with pytest.raises(HearingError, match="install the same"):
        rehear(str(path), file_hash(path), "robot_mower", EARS, "0.0.9-000000000000")


def test_a_recording_that_was_changed_meanwhile_is_not_heard_under_its_old_name(
    archive: Path,
) -> None:
    way = opened("robot_mower", EARS)[2].id
    with pytest.raises(AudioError, match="changed meanwhile"):
        rehear(str(archive / "again.wav"), "0" * 64, "robot_mower", EARS, way)


class Failed:
    """What Dask gives for a recording that a worker could not hear."""

    def __init__(self, error: Exception) -> None:
        self.error = error

    def exception(self) -> Exception:
        return self.error


def test_one_bad_recording_is_told_and_what_stands_in_the_way_of_all_ends_the_run() -> None:
    from distributed.scheduler import KilledWorker

    assert "ended 3 workers" in str(_outcome(Failed(KilledWorker("rehear", None, 3))))
    assert _outcome(Failed(AudioError("bad.wav is no recording"))) == "bad.wav is no recording"
    with pytest.raises(HearingError, match="A worker can't hear: no model"):
        _outcome(Failed(ModelError("no model")))
    with pytest.raises(ZeroDivisionError):
        _outcome(Failed(ZeroDivisionError()))


def test_without_dask_several_workers_are_refused_with_what_to_do(
    archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(HearingError, match=r"benchcall\[archive\].*--workers 0"):
        run(archive, tmp_path, ears=EARS, workers=2)


def test_a_recording_that_cannot_be_read_is_told_and_left_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "locked.wav").write_bytes(b"")
    with pytest.raises(AudioError, match="the right to read it"):
        file_hash(tmp_path)
    monkeypatch.setattr("assistant.archive.run.file_hash", lambda _: file_hash(tmp_path))
    told = run(tmp_path, tmp_path / "out", ears=EARS)
    assert (told.recordings, [Path(path).name for path, _ in told.refused]) == (0, ["locked.wav"])


def test_a_full_disk_is_told_and_the_same_command_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    outputs = Outputs(tmp_path, Way("0.1.0", "robot_mower", "0" * 64, (("own", "1" * 64),)))

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(RecordError, match="No space left on device"):
        outputs.keep({"audio": "2" * 64})
    with pytest.raises(RecordError, match="the same command goes on"):
        outputs.list_recordings([])
    assert not outputs.has("2" * 64)


def test_results_that_cannot_be_written_are_told(archive: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="--out"):
        Outputs(tmp_path / "file" / "below", opened("robot_mower", EARS)[2])


def test_archive_as_a_user_runs_it(archive: Path, alone: Heard, tmp_path: Path) -> None:
    out = str(alone.folder.parent)
    words = ["archive", str(archive), "--out", out, "--ear", *EARS, "--workers", "0"]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 0, done.output
    assert f"Files: {COUNT + 1}. Different recordings: {COUNT} (0 heard, {COUNT} kn" in done.output


def test_a_file_that_is_no_recording_ends_the_command_with_one_and_its_reason(
    tmp_path: Path,
) -> None:
    (tmp_path / "bad.wav").write_bytes(b"junk" * 100)
    out = str(tmp_path / "heard")
    words = ["archive", str(tmp_path), "--out", out, "--ear", *EARS, "--workers", "0"]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 1
    assert "bad.wav is not a recording that can be read" in done.output
    assert "(0 heard, 0 known already, 1 refused)" in done.output
