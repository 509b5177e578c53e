from __future__ import annotations

import errno
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from assistant.errors import RecordError
from assistant.record import chain
from assistant.record import journal as journal_module
from assistant.record.journal import Journal, read_journal
from assistant.record.moment import parse_moment

from .saying import Ticks


def _fails(number: int) -> object:
    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


def test_what_was_appended_is_there_for_readers_and_after_reopening(
    journal: Journal, path: Path
) -> None:
    entries = [journal.append("note", {"text": str(i)}) for i in range(5)]
    assert read_journal(path)[1:] == tuple(entries)
    journal.close()
    with Journal.reopen(path) as again:
        assert again.entries[1:] == tuple(entries)
        assert (again.head, again.torn) == (entries[-1].sha256, None)


def test_an_entry_is_written_and_flushed_before_append_returns(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = []
    real_write, real_sync = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda *a: (done.append("write"), real_write(*a))[1])
    monkeypatch.setattr(os, "fsync", lambda *a: (done.append("fsync"), real_sync(*a))[1])
    journal.append("note", {})
    assert done == ["write", "fsync"]


def test_a_new_journal_flushes_its_folder_too(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folders = []
    monkeypatch.setattr(journal_module, "sync_folder", folders.append)
    Journal.create(path, {}).close()
    assert folders == [path.parent]


def test_a_short_write_is_carried_on_to_the_last_byte(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda file, data: real(file, data[:7]))
    journal.append("note", {"text": "bit by bit"})
    assert read_journal(path)[-1].body == {"text": "bit by bit"}


@pytest.mark.parametrize("call", ["write", "fsync"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EDQUOT])
def test_after_a_failed_write_or_flush_nothing_is_tried_again(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch, call: str, number: int
) -> None:
    kept = journal.append("note", {"text": "kept"})
    with monkeypatch.context() as patch:
        patch.setattr(os, call, _fails(number))
        with pytest.raises(RecordError, match=r"NOT RECORDED.*open the session again"):
            journal.append("note", {"text": "lost"})
    with pytest.raises(RecordError, match="closed; nothing was recorded"):
        journal.append("note", {"text": "though the disk would take it now"})
    with Journal.reopen(path) as again:
        assert again.entries[-1] == kept
        again.append("note", {"text": "said again"})
    assert [entry.body.get("text") for entry in read_journal(path)[1:]] == ["kept", "said again"]


def test_half_a_write_before_a_full_disk_leaves_no_trace_in_the_record(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = journal.append("note", {"text": "kept"})
    real, calls = os.write, []

    def half_then_full(file: int, data: bytes) -> int:
        calls.append(data)
        if len(calls) > 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(file, data[: len(data) // 2])

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", half_then_full)
        patch.setattr(os, "ftruncate", _fails(errno.EIO))
        with pytest.raises(RecordError, match="No space left"):
            journal.append("note", {"text": "lost"})
    with Journal.reopen(path) as again:
        assert again.entries[-1] == kept
        assert again.torn is not None
        assert again.torn.read_bytes() == calls[0][: len(calls[0]) // 2]


def test_ctrl_c_in_the_middle_of_a_write_counts_as_a_failure(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", interrupt)
        with pytest.raises(KeyboardInterrupt):
            journal.append("note", {"text": "lost"})
    with pytest.raises(RecordError, match="closed"):
        journal.append("note", {})
    assert len(read_journal(path)) == 1


def test_a_failed_flush_while_reopening_is_told_and_gives_the_lock_back(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal.close()
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", _fails(errno.EIO))
        with pytest.raises(RecordError, match="NOT RECORDED"):
            Journal.reopen(path)
    Journal.reopen(path).close()


def test_a_failed_flush_of_the_folder_refuses_the_new_journal(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(journal_module, "sync_folder", _fails(errno.EIO))
    with pytest.raises(RecordError, match="NOT RECORDED"):
        Journal.create(path, {})


@pytest.mark.skipif(sys.platform == "win32", reason="there is no RLIMIT_FSIZE")
def test_when_the_system_itself_stops_the_file_from_growing_every_acknowledged_entry_is_kept(
    path: Path,
) -> None:
    script = """
import resource, sys
from pathlib import Path
from assistant.errors import RecordError
from assistant.record.journal import Journal
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
journal = Journal.create(Path(sys.argv[1]), {})
try:
    while True:
        print(journal.append("note", {"text": "x" * 100}).seq)
except RecordError as error:
    print(error, file=sys.stderr)
"""
    done = subprocess.run(
        [sys.executable, "-c", script, str(path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    acknowledged = [int(line) for line in done.stdout.split()]
    assert len(acknowledged) > 5
    assert "NOT RECORDED" in done.stderr
    assert "File too large" in done.stderr
    with Journal.reopen(path) as again:
        assert [entry.seq for entry in again.entries[1:]] == acknowledged
        assert again.append("note", {}).seq == acknowledged[-1] + 1


def test_a_body_that_cannot_be_recorded_is_refused_and_does_no_harm(journal: Journal) -> None:
    with pytest.raises(RecordError, match="can't be recorded"):
        journal.append("reading", {"confidence": float("nan")})
    assert journal.append("note", {}).seq == 2


def test_the_clock_may_be_set_back_for_the_number_decides(path: Path) -> None:
    clock = Ticks()
    with Journal.create(path, {}, clock) as journal:
        journal.append("note", {"text": "first"})
        clock.moment -= timedelta(days=400)
        journal.append("note", {"text": "second"})
    entries = read_journal(path)
    assert [entry.seq for entry in entries] == [1, 2, 3]
    assert parse_moment(entries[2].at) < parse_moment(entries[1].at)
    Journal.reopen(path).close()


def test_a_second_writer_is_refused_and_told_which_process_writes(
    journal: Journal, path: Path
) -> None:
    with pytest.raises(RecordError, match=rf"Process {os.getpid()} is already writing"):
        Journal.reopen(path)
    assert journal.append("note", {}).seq == 2
    journal.close()
    Journal.reopen(path).close()


def test_another_process_is_refused_and_told_which_process_writes(
    journal: Journal, path: Path
) -> None:
    script = """
import sys
from pathlib import Path
from assistant.record.journal import Journal
Journal.reopen(Path(sys.argv[1]))
"""
    done = subprocess.run(
        [sys.executable, "-c", script, str(path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
    )
    assert f"RecordError: Process {os.getpid()} is already writing" in done.stderr
    assert journal.append("note", {}).seq == 2


def test_a_lock_holds_on_a_full_disk_too(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Journal.create(path, {}).close()
    monkeypatch.setattr(os, "ftruncate", _fails(errno.ENOSPC))
    with Journal.reopen(path), pytest.raises(RecordError, match="already writing"):
        Journal.reopen(path)


def test_a_journal_is_never_written_over(journal: Journal, path: Path) -> None:
    before = path.read_bytes()
    journal.close()
    with pytest.raises(RecordError, match="exists"):
        Journal.create(path, {})
    assert path.read_bytes() == before


def test_what_was_torn_is_never_written_over(path: Path) -> None:
    Journal.create(path, {}).close()
    for number, tail in enumerate([b'{"at":"one', b'{"at":"two'], start=1):
        with path.open("ab") as file:
            file.write(tail)
        with Journal.reopen(path) as journal:
            assert journal.torn == path.with_name(f"journal.jsonl.{number}.torn")
            assert journal.torn.read_bytes() == tail
    assert path.with_name("journal.jsonl.1.torn").read_bytes() == b'{"at":"one'


def test_a_tail_that_cannot_be_set_aside_stays_where_it_is(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Journal.create(path, {}).close()
    with path.open("ab") as file:
        file.write(b'{"at":"torn')
    before = path.read_bytes()
    monkeypatch.setattr(journal_module, "_set_aside", _fails(errno.ENOSPC))
    with pytest.raises(RecordError, match="NOT RECORDED"):
        Journal.reopen(path)
    assert path.read_bytes() == before


def test_a_damaged_journal_is_not_touched_and_the_lock_is_given_back(
    journal: Journal, path: Path
) -> None:
    journal.append("note", {"text": "true"})
    journal.close()
    data = path.read_bytes().replace(b"true", b"fals")
    path.write_bytes(data)
    for _ in range(2):
        with pytest.raises(RecordError, match="damaged at line 2"):
            Journal.reopen(path)
    with pytest.raises(RecordError, match="damaged at line 2"):
        read_journal(path)
    assert path.read_bytes() == data


def test_a_reader_leaves_a_line_alone_that_is_just_being_written(
    journal: Journal, path: Path
) -> None:
    with path.open("ab") as file:
        file.write(b'{"at":"20')
    before = path.read_bytes()
    assert len(read_journal(path)) == 1
    assert path.read_bytes() == before


def test_reading_looks_at_each_line_once(
    journal: Journal, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(20):
        journal.append("note", {})
    looked = []
    real = chain.decode
    monkeypatch.setattr(chain, "decode", lambda line: (looked.append(line), real(line))[1])
    assert len(read_journal(path)) == len(looked) == 21


def test_a_journal_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="can't be read"):
        read_journal(tmp_path / "none.jsonl")
    with pytest.raises(RecordError, match="can't be read"):
        Journal.reopen(tmp_path / "none.jsonl")


@pytest.mark.usefixtures("unprivileged")
def test_a_folder_without_the_right_to_write_is_told() -> None:
    with pytest.raises(RecordError, match="BENCHCALL_HOME"):
        Journal.create(Path("/") / "journal.jsonl", {})


def test_closing_twice_does_nothing(journal: Journal) -> None:
    journal.close()
    journal.close()
