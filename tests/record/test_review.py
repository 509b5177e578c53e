from __future__ import annotations

import pytest

from assistant.errors import RecordError, UnknownNameError
from assistant.profile import Profile
from assistant.record.store import Store
from assistant.settling.settled import Settled
from assistant.wording.statement import ObservationSaid

from .saying import reading, words


@pytest.fixture
def name(store: Store, profile: Profile) -> str:
    with store.create(profile, who="KL", unit="14") as record:
        record.enter(reading("102"))
        record.enter(reading("60", position="rear", status="asked", doubts=("value",)))
        record.enter(Settled(ObservationSaid(words("blades worn"), "blades", "worn"), "accepted"))
        record.finish()
        return record.session.id


def test_a_review_changes_the_session_and_not_the_technicians_journal(
    store: Store, name: str
) -> None:
    journal = store.path(name) / "journal.jsonl"
    before = journal.read_bytes()
    with store.review(name, "MB") as review:
        review.correct("2", "the sound says one one two", value="112")
        review.correct("3", "clear on the recording", value="16")
        review.withdraw("4", "wrong mower")
        review.comment("well measured")
        assert review.sign_off() == review.session.head[:8]
    session = store.read(name)
    assert [(r.id, r.value, r.status, r.by) for r in session.readings] == [
        ("r2", "112", "accepted", "MB"),
        ("r3", "16", "accepted", "MB"),
    ]
    assert session.observations == ()
    assert [(n.text, n.by) for n in session.notes] == [("well measured", "MB")]
    assert session.signed is not None
    assert (session.signed.who, session.signed.current) == ("MB", True)
    assert session == review.session
    assert journal.read_bytes() == before


def test_a_review_goes_on_later_and_corrects_itself(store: Store, name: str) -> None:
    with store.review(name, "MB") as review:
        review.correct("2", "misheard", value="112")
    with store.review(name, "RT") as review:
        review.correct("r2", "misread", value="113")
        review.correct("4", "seen on the photo", value="sharp")
    session = store.read(name)
    assert [(r.id, r.value, r.by) for r in session.readings if r.position == "front"] == [
        ("r3", "113", "RT")
    ]
    assert [(o.id, o.value, o.by) for o in session.observations] == [("r4", "sharp", "RT")]


def test_a_review_needs_a_name_and_a_correction_its_reason(store: Store, name: str) -> None:
    with pytest.raises(RecordError, match="needs the name"):
        store.review(name, " ")
    with store.review(name, "MB") as review:
        with pytest.raises(RecordError, match="needs its reason"):
            review.correct("2", "  ", value="112")
        with pytest.raises(RecordError, match="needs its reason"):
            review.withdraw("2", "")
        assert [r.id for r in review.session.readings] == ["2", "3"]


def test_only_what_is_current_can_be_corrected(store: Store, name: str) -> None:
    with store.review(name, "MB") as review:
        review.withdraw("2", "wrong mower")
        with pytest.raises(UnknownNameError, match="entry r2 took its place"):
            review.correct("2", "misheard", value="1")
        with pytest.raises(UnknownNameError, match="none of that number"):
            review.withdraw("99", "no")


def test_a_review_put_beside_another_session_is_refused(
    store: Store, profile: Profile, name: str
) -> None:
    store.review(name, "MB").close()
    with store.create(profile, unit="3") as record:
        other = record.session.id
    (store.path(name) / "review.jsonl").replace(store.path(other) / "review.jsonl")
    with pytest.raises(RecordError, match="own folder"):
        store.read(other)
    for _ in range(2):
        with pytest.raises(RecordError, match="own folder"):
            store.review(other, "MB")
