"""The pages are served at once; what the index lacks is read meanwhile, the newest first."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.depot.database import open_depot
from assistant.depot.listing import sessions
from assistant.review import recent as module
from assistant.review.catching_up import CatchingUp
from assistant.review.recent import Recent
from tests.depot.hollin_bank import CLEAN, FAULTY, Bench


def test_the_newest_are_listed_first_and_all_in_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "NEWEST", 1)
    bench = Bench(tmp_path)
    old, new = bench.session(*FAULTY), bench.session(*CLEAN)
    depot = open_depot(bench.store)
    recent = Recent(depot)
    recent.look()
    assert [row.id for row in sessions(depot).rows] == [new]
    with CatchingUp(depot, recent) as catching_up:
        thread = catching_up._thread
        assert thread is not None
        thread.join()
        assert catching_up.told == ""
    assert [row.id for row in sessions(depot).rows] == [new, old]
    depot.close()


def test_a_stop_half_way_ends_it_and_keeps_what_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.depot.refresh._TOGETHER", 1)
    bench = Bench(tmp_path)
    old, between, new = [bench.session(*CLEAN) for _ in range(3)]
    monkeypatch.setattr(module, "NEWEST", 1)
    depot = open_depot(bench.store)
    catching_up = CatchingUp(depot, Recent(depot))
    catching_up._stop.set()
    with catching_up:
        pass
    assert [row.id for row in sessions(depot).rows] == [new, old]
    assert between in bench.store
    depot.close()


def test_an_index_that_cannot_be_used_is_told_on_the_page(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.session(*CLEAN)
    depot = open_depot(bench.store)
    depot.close()
    for left in tmp_path.glob("index.sqlite3-*"):
        left.unlink()
    (tmp_path / "index.sqlite3").write_bytes(b"no database" * 1000)
    with CatchingUp(depot, Recent(depot)) as catching_up:
        assert catching_up._thread is not None
        catching_up._thread.join()
        assert "can't be used" in catching_up.told
    depot.close()
