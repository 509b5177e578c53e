from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import RecordError
from assistant.record.body import reading_body, reading_json, reading_of
from assistant.record.entry import NOTHING_BEFORE, Entry, Kind, decode, encode
from assistant.record.replay import replay
from assistant.record.session import Reading
from assistant.record.write import entry_for, lapse, withdrawal

from .saying import context, reading

AT = "2026-11-25T17:13:05.120Z"
OPENED: tuple[Kind, dict[str, Any]] = (
    "opened",
    {"session": "s", "profile": "robot_mower", "who": "KL", "unit": "14"},
)


def _entries(*said: tuple[Kind, dict[str, Any]], first: Any = OPENED) -> tuple[Entry, ...]:
    entries: list[Entry] = []
    for seq, (kind, body) in enumerate((first, *said), start=1):
        previous = entries[-1].sha256 if entries else NOTHING_BEFORE
        entries.append(decode(encode(seq, AT, kind, body, previous)))
    return tuple(entries)


def test_the_opening_tells_what_who_and_with_what() -> None:
    session = replay(_entries())
    assert (session.id, session.profile, session.who, session.unit) == (
        "s",
        "robot_mower",
        "KL",
        "14",
    )
    assert (session.opened, session.readings, session.closed) == (AT, (), None)


def test_the_head_is_that_of_the_last_entry() -> None:
    entries = _entries(("note", {"text": "x"}))
    assert replay(entries).head == entries[-1].sha256


def test_a_reading_keeps_the_said_resolution_and_all_that_was_heard() -> None:
    settled = reading("12.50", heard=(("own", "twelve point five oh"),), confidence=0.87654)
    (found,) = replay(_entries(entry_for(settled, "V", "a.wav", "ab" * 32))).readings
    assert found == Reading(
        id="2",
        quantity="guide_signal",
        position="front",
        value="12.50",
        state="value",
        unit="V",
        context={"station": "docked"},
        status="accepted",
        confidence=0.8765,
        heard="guide front one oh two",
        ears={"own": "twelve point five oh"},
        source="a.wav",
        start=0.4,
        end=1.85,
        at=AT,
        audio="ab" * 32,
    )


def test_a_correction_takes_the_place_of_what_it_corrects() -> None:
    session = replay(_entries(entry_for(reading("102")), entry_for(reading("120"), replaces="2")))
    assert [(r.id, r.value, r.replaces) for r in session.readings] == [("3", "120", "2")]
    assert [(r.id, r.value) for r in session.superseded] == [("2", "102")]
    assert session.replaced_by == {"2": "3"}


def test_an_asked_reading_is_judged_only_once_it_is_answered() -> None:
    asked = entry_for(reading("102", status="asked", doubts=("value",)))
    session = replay(_entries(asked))
    assert (session.judged, [r.id for r in session.open_questions]) == ((), ["2"])
    session = replay(_entries(asked, entry_for(reading("103", answers="2"))))
    assert [(r.id, r.value) for r in session.judged] == [("3", "103")]
    assert session.open_questions == ()


def test_a_second_correction_of_the_same_entry_falls_on_what_took_its_place() -> None:
    session = replay(
        _entries(
            entry_for(reading("1")),
            entry_for(reading("2"), replaces="2"),
            entry_for(reading("3"), replaces="2"),
        )
    )
    assert [r.value for r in session.readings] == ["3"]
    assert [r.value for r in session.superseded] == ["1", "2"]


def test_what_is_withdrawn_is_out_of_the_session_but_not_forgotten() -> None:
    session = replay(
        _entries(entry_for(reading()), ("note", {"text": "n"}), withdrawal("2"), withdrawal("3"))
    )
    assert (session.readings, session.notes) == ((), ())
    assert [r.id for r in session.superseded] == ["2"]
    assert session.replaced_by == {"2": "4", "3": "5"}


def test_a_context_runs_until_it_changes_or_lapses() -> None:
    docked, undocked = (entry_for(context("station", v)) for v in ("docked", "undocked"))
    after = entry_for(context("repair", "after"))
    assert replay(_entries(docked, after)).context == {"station": "docked", "repair": "after"}
    assert replay(_entries(docked, undocked)).context == {"station": "undocked"}
    assert replay(_entries(docked, after, *lapse(["station"], "moved"))).context == {
        "repair": "after"
    }
    assert replay(_entries(docked, undocked, withdrawal("3"))).context == {"station": "docked"}


def test_a_context_put_right_changes_all_the_readings_it_touches_in_one_entry() -> None:
    changes = {
        i: {"context": {"station": "undocked"}, "missing": (), "quantity": "guide_signal"}
        for i in ("2", "3")
    }
    session = replay(
        _entries(
            entry_for(reading("-65", "loop_signal", missing=("wire",))),
            entry_for(reading("-66", "loop_signal", "rear", missing=("wire",))),
            entry_for(reading("1", "loop_signal", missing=("wire",))),
            entry_for(context("station", "undocked"), changes=changes),
        )
    )
    assert [(r.id, r.value, r.quantity, r.missing) for r in session.readings] == [
        ("2", "-65", "guide_signal", ()),
        ("3", "-66", "guide_signal", ()),
        ("4", "1", "loop_signal", ("wire",)),
    ]
    assert [r.id for r in session.judged] == ["2", "3"]
    assert [(r.id, r.context) for r in session.superseded] == [
        ("2", {"station": "docked"}),
        ("3", {"station": "docked"}),
    ]


def test_a_value_never_changes_but_by_a_reading_that_replaces_it() -> None:
    with pytest.raises(ValueError, match="value"):
        entry_for(context("station", "docked"), changes={"2": {"value": "1"}})
    forged = ("context", {"key": "a", "value": "b", "changes": {"2": {"value": "1"}}})
    with pytest.raises(RecordError, match="Entry 3 changes entry 2"):
        replay(_entries(entry_for(reading()), forged))  # type: ignore[arg-type]


def test_an_entry_after_the_close_opens_the_session_again() -> None:
    assert replay(_entries(("closed", {}))).closed == AT
    assert replay(_entries(("closed", {}), ("note", {"text": "one more"}))).closed is None


@pytest.mark.parametrize("cited", ["3", "2", "99", "", "r1", "../2"])
def test_an_entry_that_cites_none_before_it_is_refused(cited: str) -> None:
    with pytest.raises(RecordError, match="changes entry"):
        replay(_entries(entry_for(reading(), replaces=cited)))
    with pytest.raises(RecordError, match="changes entry"):
        replay(_entries(withdrawal(cited)))


@pytest.mark.parametrize("kind", ["reading", "observation"])
def test_a_body_of_another_shape_is_refused_in_plain_words(kind: Kind) -> None:
    with pytest.raises(RecordError, match="Install the version"):
        replay(_entries((kind, {"quantity": "x"})))


def test_keys_that_are_not_known_are_ignored() -> None:
    kind, body = entry_for(reading())
    assert replay(_entries((kind, {**body, "humidity": "61"}))).readings[0].value == "102"


def _review(entries: tuple[Entry, ...], *said: tuple[Kind, dict[str, Any]]) -> tuple[Entry, ...]:
    session = entries[0].body["session"]
    return _entries(*said, first=("opened", {"session": session, "role": "review", "who": "MB"}))


def _correction(of: Entry, value: str) -> tuple[Kind, dict[str, Any]]:
    kind, body = entry_for(reading(value), replaces=of.id)
    return kind, {**body, "cites": of.sha256, "by": "MB", "reason": "sound says otherwise"}


def test_a_review_corrects_with_its_reason_and_ids_of_its_own() -> None:
    entries = _entries(entry_for(reading("102")))
    session = replay(entries, _review(entries, _correction(entries[1], "112")))
    (found,) = session.readings
    assert (found.id, found.value, found.by, found.reason) == (
        "r2",
        "112",
        "MB",
        "sound says otherwise",
    )
    assert (session.head, session.replaced_by) == (entries[-1].sha256, {"2": "r2"})
    line = reading_json(found, "s")
    assert (line["id"], line["by"], line["reason"]) == ("r2", "MB", "sound says otherwise")


def test_a_review_that_cites_another_seal_is_refused() -> None:
    entries = _entries(entry_for(reading("102")))
    kind, body = _correction(entries[1], "112")
    with pytest.raises(RecordError, match="do not belong together"):
        replay(entries, _review(entries, (kind, {**body, "cites": "0" * 64})))


def test_a_review_of_another_session_is_refused() -> None:
    entries = _entries()
    other = _entries(first=("opened", {"session": "other"}))
    with pytest.raises(RecordError, match="review is of session other"):
        replay(entries, other)


def test_a_review_of_what_the_technician_put_right_since_is_told_and_not_applied() -> None:
    entries = _entries(entry_for(reading("102")), entry_for(reading("120"), replaces="2"))
    session = replay(entries, _review(entries, _correction(entries[1], "112")))
    assert [(r.id, r.value) for r in session.readings] == [("3", "120")]
    (conflict,) = session.conflicts
    assert "entry 3 had already taken its place" in conflict


def test_a_signature_stands_under_a_head_and_is_stale_once_anything_follows() -> None:
    entries = _entries(entry_for(reading("102")))
    sign: tuple[Kind, dict[str, Any]] = (
        "signed_off",
        {"cites": entries[-1].sha256, "by": "MB"},
    )
    signed = replay(entries, _review(entries, sign)).signed
    assert signed is not None
    assert (signed.who, signed.head, signed.current) == ("MB", entries[-1].sha256, True)
    longer = _entries(entry_for(reading("102")), ("note", {"text": "later"}))
    assert longer[:2] == entries
    stale = replay(longer, _review(entries, sign)).signed
    assert stale is not None
    assert not stale.current
    by_review = replay(entries, _review(entries, sign, _correction(entries[1], "1"))).signed
    assert by_review is not None
    assert not by_review.current


def test_a_signature_under_an_unknown_head_is_refused() -> None:
    entries = _entries()
    with pytest.raises(RecordError, match="do not belong together"):
        replay(entries, _review(entries, ("signed_off", {"cites": "0" * 64, "by": "MB"})))


names = st.text(st.characters(codec="utf-8"), max_size=8)
readings: Callable[..., Reading] = st.builds(  # type: ignore[assignment]
    Reading,
    id=st.just("2"),
    quantity=names,
    position=st.none() | names,
    value=st.none() | st.from_regex(r"-?[0-9]{1,4}(\.[0-9]{1,3})?", fullmatch=True),
    state=st.sampled_from(["value", "no_reading", "off_scale"]),
    unit=names,
    context=st.dictionaries(names, names, max_size=3),
    status=st.sampled_from(["accepted", "asked"]),
    missing=st.lists(names, max_size=2).map(tuple),
    doubts=st.lists(names, max_size=2).map(tuple),
    confidence=st.integers(0, 10_000).map(lambda n: n / 10_000),
    heard=names,
    ears=st.dictionaries(names, names, max_size=3),
    says=st.dictionaries(names, names, max_size=3),
    source=names,
    start=st.integers(0, 10**7).map(lambda n: n / 1000),
    end=st.integers(0, 10**7).map(lambda n: n / 1000),
    replaces=st.just(None),
    at=st.just(AT),
    audio=st.none() | st.just("ab" * 32),
)


@given(readings)
def test_any_reading_comes_back_from_the_journal_as_it_went_in(said: Reading) -> None:
    (entry,) = _entries(("reading", reading_body(said)))[1:]
    assert reading_of(entry.id, entry.at, entry.body) == said


@st.composite
def _histories(draw: st.DrawFn) -> list[tuple[Kind, dict[str, Any]]]:
    """Readings, corrections and withdrawals, each citing any entry before it."""
    said: list[tuple[Kind, dict[str, Any]]] = []
    for seq in range(2, 2 + draw(st.integers(0, 12))):
        cited = str(draw(st.integers(2, seq - 1))) if seq > 2 else None
        what = draw(st.sampled_from(["reading", "correction", "withdrawal", "note"]))
        if what == "withdrawal" and cited:
            said.append(withdrawal(cited))
        elif what == "note":
            said.append(("note", {"text": "n"}))
        else:
            said.append(
                entry_for(reading(str(seq)), replaces=cited if what == "correction" else None)
            )
    return said


@given(_histories())
def test_every_reading_ever_entered_is_either_current_or_superseded(
    said: list[tuple[Kind, dict[str, Any]]],
) -> None:
    entries = _entries(*said)
    session = replay(entries)
    entered = [entry.id for entry in entries if entry.kind == "reading"]
    current = [r.id for r in session.readings]
    assert sorted(current + [r.id for r in session.superseded]) == sorted(entered)
    assert current == sorted(current, key=int)
    assert not set(current) & set(session.replaced_by)
    assert replay(entries) == session
