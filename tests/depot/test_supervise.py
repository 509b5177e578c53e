from __future__ import annotations

import shutil
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy.exc import OperationalError

from assistant.depot import supervise
from assistant.depot.database import Depot, open_depot
from assistant.depot.listing import sessions
from assistant.depot.one_session import one_session
from assistant.depot.refresh import refresh
from assistant.depot.summary import trade
from assistant.depot.supervise import comment, correct, sign_off, withdraw
from assistant.depot.unit_history import unit_history
from assistant.errors import ConflictError, RecordError, UnknownNameError
from assistant.profile import load_profile
from assistant.shipped import shipped

from .hollin_bank import ASKED, CLEAN, FAULTY, Bench


def test_a_correction_is_in_the_review_and_the_list_at_once(bench: Bench, depot: Depot) -> None:
    name = bench.session(*FAULTY)
    refresh(depot)
    before = bench.journal(name).read_bytes()
    rear = one_session(depot, name).session.readings[1]
    assert (rear.position, rear.value) == ("rear", "70")
    session = correct(depot, name, rear.id, "MB", "the sound says ninety seven", value="97")
    assert [r.value for r in session.readings] == ["102", "97"]
    assert sessions(depot).rows[0].outcome == "clean"
    assert bench.journal(name).read_bytes() == before
    assert bench.store.read(name) == session


def test_of_two_corrections_of_one_reading_at_once_one_wins_and_one_is_told(
    bench: Bench, depot: Depot, url: str
) -> None:
    """Each from a connection of its own, as from two computers."""
    name = bench.session(*FAULTY)
    refresh(depot)
    entry = one_session(depot, name).session.readings[1].id
    count = 4
    line = threading.Barrier(count)
    depots = [open_depot(bench.store, url) for _ in range(count)]

    def try_it(number: int) -> str:
        line.wait()
        try:
            correct(depots[number], name, entry, f"S{number}", "heard again", value=f"9{number}")
        except ConflictError as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(count) as pool:
        told = list(pool.map(try_it, range(count)))
    for one in depots:
        one.close()
    assert told.count("") == 1
    winner = told.index("")
    session = bench.store.read(name)
    assert [(r.value, r.by) for r in session.readings[1:]] == [(f"9{winner}", f"S{winner}")]
    assert session.conflicts == ()
    for refusal in told:
        if refusal:
            assert f"by S{winner}" in refusal
            assert f"reads 9{winner}" in refusal
    assert sessions(depot).rows[0].chain == "whole"


def test_corrections_of_different_readings_at_once_both_go_in(
    bench: Bench, depot: Depot, url: str
) -> None:
    name = bench.session(*FAULTY)
    refresh(depot)
    entries = [r.id for r in one_session(depot, name).session.readings]
    line = threading.Barrier(2)
    other = open_depot(bench.store, url)

    def try_it(number: int) -> None:
        line.wait()
        correct((depot, other)[number], name, entries[number], "MB", "heard again", value="99")

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(try_it, range(2)))
    other.close()
    assert [r.value for r in bench.store.read(name).readings] == ["99", "99"]


def test_an_open_question_is_answered_by_saying_what_was_missing(
    bench: Bench, depot: Depot
) -> None:
    name = bench.session(*ASKED)
    asked = one_session(depot, name).session.open_questions
    assert asked
    assert set(asked[0].missing) == {"station"}
    for reading in asked:
        correct(depot, name, reading.id, "MB", "he said so later", context={"station": "undocked"})
    session = bench.store.read(name)
    assert session.open_questions == ()
    assert {r.context["station"] for r in session.judged} == {"undocked"}


def test_saying_which_wire_decides_the_quantity(bench: Bench, depot: Depot) -> None:
    name = bench.session("front one oh two, undocked")
    [reading] = one_session(depot, name).session.readings
    assert (reading.quantity, reading.missing) == ("loop_signal", ("wire",))
    session = correct(depot, name, reading.id, "MB", "heard", context={"wire": "guide"})
    assert [(r.quantity, r.missing, r.value) for r in session.readings] == [
        ("guide_signal", (), "102")
    ]


@pytest.mark.parametrize(
    "value", ["", "abc", "1e5", "NaN", "٣", "1,5", "--1", "=1+1", "1" * 5 + " "]
)
def test_a_value_that_is_no_number_is_refused(bench: Bench, depot: Depot, value: str) -> None:
    name = bench.session(*CLEAN)
    entry = one_session(depot, name).session.readings[0].id
    before = bench.store.read(name)
    with pytest.raises(RecordError, match="no number"):
        correct(depot, name, entry, "MB", "why not", state="value", value=value)
    assert bench.store.read(name) == before


def test_a_reading_becomes_no_reading(bench: Bench, depot: Depot) -> None:
    name = bench.session(*CLEAN)
    entry = one_session(depot, name).session.readings[0].id
    session = correct(depot, name, entry, "MB", "he said dashes", state="no_reading")
    assert [(r.state, r.value) for r in session.readings if r.replaces == entry] == [
        ("no_reading", None)
    ]


def test_a_signature_is_for_what_was_shown(bench: Bench, depot: Depot) -> None:
    name = bench.session(*FAULTY)
    seen = one_session(depot, name)
    comment(depot, name, "MB", "rang the park")
    with pytest.raises(ConflictError, match="entered since"):
        sign_off(depot, name, "RT", seen.state)
    assert bench.store.read(name).signed is None
    head = sign_off(depot, name, "RT", one_session(depot, name).state)
    assert head == seen.session.head[:8]
    row = sessions(depot).rows[0]
    assert (row.signed_by, row.signed_current, row.needs) == ("RT", True, ())


def test_what_comes_after_a_signature_calls_for_attention(bench: Bench, depot: Depot) -> None:
    name = bench.session(*CLEAN)
    sign_off(depot, name, "RT", one_session(depot, name).state)
    entry = one_session(depot, name).session.readings[0].id
    withdraw(depot, name, entry, "MB", "wrong mower")
    assert sessions(depot).rows[0].needs == ("after_sign_off",)


@pytest.mark.parametrize(
    "act",
    [
        lambda d, n: correct(d, n, "2", "MB", "because", value="1"),
        lambda d, n: withdraw(d, n, "2", "MB", "because"),
        lambda d, n: comment(d, n, "MB", "well"),
        lambda d, n: sign_off(d, n, "MB", ""),
    ],
)
def test_nothing_is_written_to_what_is_damaged_or_not_here(
    bench: Bench, depot: Depot, act: Callable[[Depot, str], object]
) -> None:
    name = bench.session(*CLEAN)
    journal = bench.journal(name)
    journal.write_bytes(journal.read_bytes().replace(b"102", b"112"))
    with pytest.raises(RecordError, match="damaged"):
        act(depot, name)
    for strange in ("nothing", "../sessions", "", f"{name}/..", "last"):
        with pytest.raises(UnknownNameError):
            act(depot, strange)
    assert not (journal.parent / "review.jsonl").exists()


def test_a_damaged_session_is_shown_as_far_as_it_stands(bench: Bench, depot: Depot) -> None:
    name = bench.session(*FAULTY)
    journal = bench.journal(name)
    journal.write_bytes(journal.read_bytes().replace(b'"value":"70"', b'"value":"98"'))
    shown = one_session(depot, name)
    assert not shown.whole
    assert "damaged at line" in shown.row.trouble
    assert [r.value for r in shown.session.readings] == ["102"]
    assert shown.state == ""


def test_a_reason_and_a_name_are_asked_for(bench: Bench, depot: Depot) -> None:
    name = bench.session(*CLEAN)
    entry = one_session(depot, name).session.readings[0].id
    with pytest.raises(RecordError, match="reason"):
        correct(depot, name, entry, "MB", " ", value="1")
    with pytest.raises(RecordError, match="name or initials"):
        correct(depot, name, entry, "", "because", value="1")
    with pytest.raises(RecordError, match="write the note"):
        comment(depot, name, "MB", " ")


def test_a_session_that_was_taken_away_is_remembered_by_its_row(
    bench: Bench, bench_sqlite: Depot
) -> None:
    name = bench.session(*FAULTY)
    refresh(bench_sqlite)
    shutil.rmtree(bench.store.folder / name)
    refresh(bench_sqlite)
    told = one_session(bench_sqlite, name)
    assert (told.row.unit, told.row.chain, told.whole) == ("14", "missing", False)
    assert told.report is None
    with pytest.raises(UnknownNameError, match="Look for it in the list"):
        one_session(bench_sqlite, "20260101-000000-unit14-0000")


def test_what_was_seen_is_corrected_without_the_rules_of_a_reading(
    bench: Bench, bench_sqlite: Depot
) -> None:
    name = bench.session("homing misses")
    [seen] = one_session(bench_sqlite, name).session.observations
    session = correct(bench_sqlite, name, seen.id, "MB", "the customer says so", value="finds")
    assert [o.value for o in session.observations] == ["finds"]


def test_a_state_that_there_is_not_is_refused(bench: Bench, bench_sqlite: Depot) -> None:
    name = bench.session(*FAULTY)
    entry = one_session(bench_sqlite, name).session.readings[0].id
    with pytest.raises(RecordError, match="Give value, no_reading or off_scale"):
        correct(bench_sqlite, name, entry, "MB", "heard again", state="broken")


def test_without_its_profile_a_session_is_shown_and_corrected_but_not_judged(
    bench: Bench, bench_sqlite: Depot
) -> None:
    """A depot's own profile that was lost: which wire it is can be answered, what follows from it
    can't be worked out."""
    own = bench.home / "profiles" / "own_trade.toml"
    own.parent.mkdir(parents=True)
    text = (shipped("grammars") / "robot_mower.toml").read_text("utf-8")
    own.write_text(text.replace('id = "robot_mower"', 'id = "own_trade"', 1), "utf-8")
    bench.profile = load_profile(str(own))
    name = bench.session("front one oh two, undocked", unit="3")
    trade.cache_clear()
    own.unlink()
    told = one_session(bench_sqlite, name)
    assert told.whole
    assert (told.report, told.row.outcome) == (None, "unknown")
    assert "own_trade.toml" in told.row.trouble
    [reading] = told.session.readings
    session = correct(bench_sqlite, name, reading.id, "MB", "heard", context={"wire": "guide"})
    assert [r.quantity for r in session.readings] == ["loop_signal"]
    assert unit_history(bench_sqlite, "3").trends == ()


def test_an_index_that_fails_after_the_entry_says_not_to_enter_it_again(
    bench: Bench, bench_sqlite: Depot, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = bench.session(*CLEAN)

    def fail(*_: object) -> None:
        raise OperationalError("INSERT", {}, Exception("disk I/O error"))

    monkeypatch.setattr(supervise, "enter", fail)
    with pytest.raises(
        RecordError, match=r"is recorded, but .*\(disk I/O error\)\. Do not enter it again"
    ):
        comment(bench_sqlite, name, "MB", "seen")
    assert [note.text for note in bench.store.read(name).notes] == ["seen"]
