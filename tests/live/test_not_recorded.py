"""The disk fails while somebody dictates: it stops, says so aloud, opens the record again, and
verifies it; what was read back is never lost, and what was not is never taken for recorded."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from assistant.live.bench import Manner
from assistant.record.audio import AudioFolder
from assistant.record.journal import read_journal
from assistant.record.store import JOURNAL
from tests.live.said_by_level import quiet
from tests.live.test_bench import Workshop

FIRST, SECOND, THIRD = (
    "battery voltage eighteen point two",
    "battery voltage eighteen point four",
    "battery voltage eighteen point six",
)


class Disk:
    """``fail`` makes a call of the system fail from now on, ``mend`` lets all succeed again.
    ``calls`` counts the flushes that were tried."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self._patch = patch
        self._real = {name: getattr(os, name) for name in ("write", "fsync", "ftruncate")}
        self.calls = 0

    def fail(self, call: str, number: int, times: int = 10**9) -> Callable[[], None]:
        def break_it() -> None:
            left = [times]

            def broken(*given: Any) -> Any:
                self.calls += 1
                if left[0] <= 0:
                    return self._real[call](*given)
                left[0] -= 1
                raise OSError(number, os.strerror(number))

            self._patch.setattr(os, call, broken)

        return break_it

    def mend(self) -> None:
        for name, real in self._real.items():
            self._patch.setattr(os, name, real)


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Disk:
    return Disk(monkeypatch)


@pytest.fixture
def w(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Workshop]:
    """A bench whose journal alone meets the disk."""
    monkeypatch.setattr(AudioFolder, "keep", lambda *_: "0" * 64)
    workshop = Workshop(tmp_path, Manner())
    yield workshop
    workshop.listener.close()
    workshop.assistant.close()


def on_the_disk(w: Workshop) -> list[str]:
    entries = read_journal(w.assistant.record.folder / JOURNAL)
    return [entry.body["value"] for entry in entries if entry.kind == "reading"]


@pytest.mark.parametrize("call", ["write", "fsync"])
@pytest.mark.parametrize("number", [errno.EIO, errno.ENOSPC, errno.EROFS])
def test_a_failed_entry_is_told_aloud_and_the_record_opened_again(
    w: Workshop, disk: Disk, call: str, number: int, capsys: pytest.CaptureFixture[str]
) -> None:
    w.hear(quiet(0.5), w.say(FIRST), quiet(3.0))
    w.hear(disk.fail(call, number, times=1), w.say(SECOND), quiet(6.0))
    assert w.loudspeaker.said[-4:] == [
        "not recorded",
        "the record is open again and checked",
        "last, battery voltage one eight point two volts",
        "say again",
    ]
    told = capsys.readouterr().out
    assert "NOT RECORDED" in told
    assert os.strerror(number) in told
    assert on_the_disk(w) == ["18.2"], "what was not read back is not in the record"
    w.hear(quiet(1.0), w.say(THIRD), quiet(3.0))
    assert on_the_disk(w) == ["18.2", "18.6"]
    assert w.loudspeaker.said[-1] == "battery voltage one eight point six volts"


def test_while_the_disk_fails_nothing_is_taken_down_and_each_time_it_says_so(
    w: Workshop, disk: Disk, capsys: pytest.CaptureFixture[str]
) -> None:
    w.hear(quiet(0.5), w.say(FIRST), quiet(3.0))
    w.hear(disk.fail("fsync", errno.EIO), w.say(SECOND), quiet(6.0))
    assert w.loudspeaker.said[-1] == "not recorded. stop, and see to the disk"
    w.hear(quiet(1.0), w.say(SECOND), quiet(6.0))
    assert w.loudspeaker.said[-2:] == ["not recorded. stop, and see to the disk"] * 2
    assert capsys.readouterr().out.count("NOT RECORDED") == 2
    w.hear(disk.mend, quiet(1.0), w.say(THIRD), quiet(6.0))
    assert w.loudspeaker.said[-3:] == [
        "the record is open again and checked",
        "last, battery voltage one eight point two volts",
        "battery voltage one eight point six volts",
    ]
    assert on_the_disk(w) == ["18.2", "18.6"]


def test_a_failed_flush_is_never_tried_again_on_the_same_file(w: Workshop, disk: Disk) -> None:
    """After a failed flush the system may hold for written what is in its memory only."""
    w.hear(quiet(0.5), w.say(FIRST), quiet(3.0))
    journal = w.assistant.record.folder / JOURNAL
    before = journal.stat().st_ino
    w.hear(disk.fail("fsync", errno.EIO, times=1), w.say(SECOND), quiet(6.0))
    assert journal.stat().st_ino != before, "all that is relied on was written anew"


def test_what_was_acknowledged_and_is_gone_is_told_and_nothing_more_is_taken(
    w: Workshop, disk: Disk, capsys: pytest.CaptureFixture[str]
) -> None:
    w.hear(quiet(0.5), w.say(FIRST), quiet(3.0))
    journal = w.assistant.record.folder / JOURNAL

    def lose() -> None:
        journal.write_bytes(journal.read_bytes().splitlines(keepends=True)[0])
        disk.fail("fsync", errno.EIO, times=1)()

    w.hear(lose, w.say(SECOND), quiet(6.0), quiet(1.0), w.say(THIRD), quiet(6.0))
    assert w.loudspeaker.said[-1] == "not recorded. stop, and see to the disk"
    assert "does not hold all that was said back" in capsys.readouterr().out
    assert on_the_disk(w) == []


def test_a_disk_too_full_for_the_sound_stops_the_reading_too(
    w: Workshop, disk: Disk, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    w.hear(quiet(0.5), w.say(FIRST), quiet(3.0))
    monkeypatch.undo()
    w.hear(disk.fail("fsync", errno.ENOSPC, times=1), w.say(SECOND), quiet(6.0))
    assert "NOT RECORDED: the sound could not be kept" in capsys.readouterr().out
    assert not list(w.assistant.record.audio.folder.glob("*.part"))
    assert "not recorded" in w.loudspeaker.said
    assert on_the_disk(w) == ["18.2"]


def test_a_first_session_that_cannot_be_made_is_told_aloud(w: Workshop, disk: Disk) -> None:
    w.hear(disk.fail("fsync", errno.EROFS), quiet(0.5), w.say(FIRST), quiet(6.0))
    assert w.loudspeaker.said[:1] == ["not recorded"]
    w.hear(disk.mend, quiet(1.0), w.say(FIRST), quiet(3.0))
    assert on_the_disk(w) == ["18.2"]
