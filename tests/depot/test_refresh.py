from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from assistant.depot.database import Depot, open_depot
from assistant.depot.listing import needs_attention, sessions
from assistant.depot.refresh import refresh, refresh_one
from assistant.depot.supervise import comment
from assistant.depot.tables import metadata
from assistant.errors import RecordError
from assistant.record.store import Store

from .hollin_bank import ASKED, CLEAN, FAULTY, PROVEN, REPAIRED, Bench


def everything(depot: Depot) -> dict[str, list[tuple[Any, ...]]]:
    with depot.reading() as connection:
        return {
            name: sorted(tuple(row) for row in connection.execute(select(table)))
            for name, table in metadata.tables.items()
        }


def row(depot: Depot, name: str) -> Any:
    return next(r for r in sessions(depot).rows if r.id == name)


def test_a_session_goes_in_with_what_it_comes_to(bench: Bench, depot: Depot) -> None:
    name = bench.session(*PROVEN)
    assert refresh(depot).indexed == 1
    found = row(depot, name)
    assert (found.unit, found.technician, found.profile) == ("14", "KL", "robot_mower")
    assert (found.readings, found.questions, found.chain) == (5, 0, "whole")
    assert found.complaint == "misses the station at the gate after rain"
    assert (found.parts, found.minutes) == (("front loop sensor",), 25.0)
    assert found.outcome == "proven"
    assert (found.attention, found.needs) == (0, ())
    assert found.opened < (found.closed or "")
    assert found.head == bench.store.read(name).head


@pytest.mark.parametrize(
    ("lines", "outcome", "needs"),
    [
        (CLEAN, "clean", ()),
        (FAULTY, "faulty", ("out",)),
        (REPAIRED, "unproven", ("unproven",)),
        (ASKED, "unknown", ("questions",)),
    ],
)
def test_the_list_tells_what_a_supervisor_has_to_look_at(
    bench: Bench, depot: Depot, lines: tuple[str, ...], outcome: str, needs: tuple[str, ...]
) -> None:
    name = bench.session(*lines)
    refresh(depot)
    found = row(depot, name)
    assert (found.outcome, found.needs) == (outcome, needs)
    assert bool(needs_attention(depot).rows) is bool(needs)


def test_indexing_twice_changes_nothing(bench: Bench, depot: Depot) -> None:
    bench.session(*PROVEN)
    bench.session(*FAULTY, unit="7")
    refresh(depot)
    before = everything(depot)
    again = refresh(depot)
    assert (again.seen, again.indexed) == (2, 0)
    assert everything(depot) == before
    refresh(depot, every=True)
    assert everything(depot) == before


def test_what_was_entered_since_is_seen(bench: Bench, depot: Depot) -> None:
    one, other = bench.session(*CLEAN), bench.session(*CLEAN, unit="7")
    refresh(depot)
    with bench.store.review(one, "MB") as review:
        review.correct("3", "the sound says seventy", value="70")
    assert refresh(depot).indexed == 1
    assert row(depot, one).outcome == "faulty"
    assert row(depot, other).outcome == "clean"


def test_an_index_made_anew_is_the_one_that_grew(bench: Bench, tmp_path: Any) -> None:
    depot = open_depot(bench.store)
    for lines in (CLEAN, FAULTY, PROVEN):
        name = bench.session(*lines)
        refresh(depot)
    with bench.store.review(name, "MB") as review:
        review.sign_off()
    refresh(depot)
    anew = open_depot(bench.store, f"sqlite:///{tmp_path}/anew.sqlite3")
    refresh(anew)
    assert sessions(anew) == sessions(depot)
    depot.close()
    anew.close()


def test_a_damaged_journal_is_told_and_the_others_go_in(bench: Bench, depot: Depot) -> None:
    bad, good = bench.session(*FAULTY), bench.session(*CLEAN, unit="7")
    journal = bench.journal(bad)
    journal.write_bytes(journal.read_bytes().replace(b'"value":"70"', b'"value":"98"'))
    told = refresh(depot)
    assert told.indexed == 2
    [(name, why)] = told.broken
    assert name == bad
    assert "damaged at line" in why
    found = row(depot, bad)
    assert (found.chain, found.unit, found.needs[0]) == ("broken", "14", "chain")
    assert row(depot, good).chain == "whole"


def test_a_session_that_was_taken_away_stays_in_the_list(bench: Bench, depot: Depot) -> None:
    name = bench.session(*CLEAN)
    refresh(depot)
    shutil.move(bench.store.folder / name, bench.home / "away")
    assert [n for n, _ in refresh(depot).broken] == [name]
    assert row(depot, name).chain == "missing"
    shutil.move(bench.home / "away", bench.store.folder / name)
    assert refresh(depot).broken == ()
    assert row(depot, name).chain == "whole"


@pytest.mark.parametrize("junk", [b"", b"\n", b"\x00" * 100, b'{"at":1}\n', b"[" * 100_000])
def test_no_file_in_place_of_a_journal_stops_the_others(
    bench: Bench, depot: Depot, junk: bytes
) -> None:
    bench.journal(bench.session(*CLEAN)).write_bytes(junk)
    good = bench.session(*CLEAN)
    assert len(refresh(depot).broken) == 1
    assert row(depot, good).outcome == "clean"


def test_a_practice_session_never_enters(bench: Bench, depot: Depot) -> None:
    bench.session(*CLEAN)
    Bench(bench.home / "practice").session(*FAULTY, who="trainee")
    assert refresh(depot).seen == 1
    assert {r.technician for r in sessions(depot).rows} == {"KL"}


def test_a_profile_that_is_not_here_is_told_and_nothing_is_judged(
    bench: Bench, depot: Depot, tmp_path: Any
) -> None:
    from assistant.profile import load_profile
    from assistant.shipped import shipped

    text = (shipped("grammars") / "garden_tractor.toml").read_text()
    own = tmp_path / "orchard.toml"
    own.write_text(text.replace('id = "garden_tractor"', 'id = "orchard"', 1))
    with bench.store.create(load_profile(str(own)), unit="3") as record:
        name = record.session.id
    assert "orchard.toml" in refresh_one(depot, name).trouble
    (bench.home / "profiles").mkdir()
    own.rename(bench.home / "profiles" / "orchard.toml")
    assert refresh_one(depot, name).trouble == ""


def test_progress_is_told_to_the_end(bench: Bench, depot: Depot) -> None:
    for _ in range(3):
        bench.session(*CLEAN)
    told: list[tuple[int, int]] = []
    refresh(depot, lambda done, of: told.append((done, of)))
    assert told[-1] == (3, 3)


def test_an_address_that_is_no_database_is_refused(bench: Bench) -> None:
    for url in ("mysql://x", "nonsense", "postgresql://nobody@127.0.0.1:1/x"):
        with pytest.raises(RecordError, match="index"):
            open_depot(bench.store, url)


def test_a_file_that_is_no_index_is_refused_and_left_alone(bench: Bench) -> None:
    bench.home.mkdir(parents=True)
    path = bench.home / "index.sqlite3"
    path.write_text("my diary\n" * 100)
    with pytest.raises(RecordError, match="may be deleted"):
        open_depot(Store(bench.home))
    assert path.read_text().startswith("my diary")


def test_a_refresh_never_puts_an_older_row_over_a_newer_one(
    bench: Bench, depot: Depot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A correction comes between its reading the journals and its writing the row."""
    from assistant.depot import refresh as module
    from assistant.depot.supervise import correct

    name = bench.session(*FAULTY)
    summarise = module.summarise

    def overtaken(depot: Depot, name: str) -> Any:
        old = summarise(depot, name)
        monkeypatch.setattr(module, "summarise", summarise)
        correct(depot, name, "4", "MB", "the sound says ninety seven", value="97")
        return old

    monkeypatch.setattr(module, "summarise", overtaken)
    module.refresh(depot)
    assert row(depot, name).outcome == "clean"


def test_a_journal_in_another_sessions_folder_is_told(bench: Bench, bench_sqlite: Depot) -> None:
    name, other = bench.session(*CLEAN), bench.session(*FAULTY)
    bench.journal(other).write_bytes(bench.journal(name).read_bytes())
    told = refresh_one(bench_sqlite, other)
    assert told.chain == "broken"
    assert f"The journal is that of session {name}" in told.trouble


def test_a_review_that_cannot_be_read_is_told_and_the_session_stays_in_the_list(
    bench: Bench, bench_sqlite: Depot
) -> None:
    name = bench.session(*CLEAN)
    (bench.store.folder / name / "review.jsonl").mkdir()
    told = refresh_one(bench_sqlite, name)
    assert (told.chain, told.unit) == ("broken", "14")
    assert "Its review can't be read" in told.trouble


def test_a_review_of_another_session_is_told(bench: Bench, bench_sqlite: Depot) -> None:
    name, other = bench.session(*CLEAN), bench.session(*CLEAN)
    comment(bench_sqlite, name, "MB", "seen")
    reviews = [bench.store.folder / n / "review.jsonl" for n in (name, other)]
    shutil.copy(*reviews)
    told = refresh_one(bench_sqlite, other)
    assert (told.chain, told.readings) == ("broken", 2)


def test_a_home_that_may_not_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="BENCHCALL_HOME"):
        open_depot(Store(tmp_path / "file" / "home"))
