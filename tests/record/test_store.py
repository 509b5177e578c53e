from __future__ import annotations

import hashlib
import os
import re
import wave
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import RecordError, UnknownNameError
from assistant.home import default_home
from assistant.profile import Profile
from assistant.record.opening import Meter, profile_hash
from assistant.record.store import PRIVACY_NOTE, Store
from assistant.settling.settled import Settled
from assistant.wording.statement import ObservationSaid

from .saying import Ticks, context, reading, words


def test_a_session_is_found_again_as_it_was_left(store: Store, profile: Profile) -> None:
    with store.create(profile, who="KL", unit="14") as record:
        record.enter(context("station", "docked"))
        record.enter(reading("102"))
        left = record.session
    assert store.read(left.id) == left
    with store.open(left.id, profile) as record:
        assert (record.session, record.told) == (left, ())
        record.enter(reading("103", position="rear"))
    assert [r.value for r in store.read(left.id).readings] == ["102", "103"]


def test_the_first_entry_says_with_what_and_by_whom(store: Store, profile: Profile) -> None:
    with store.create(
        profile,
        who="KL",
        unit="14",
        models={"own": "ab" * 32},
        meters=[Meter("DMM-3", "2026-02-01")],
    ) as record:
        opening = dict(record.session.opening)
    assert re.fullmatch(r"\d+\.\d+\.\d+", str(opening.pop("software")))
    assert opening == {
        "format": 1,
        "session": record.session.id,
        "profile": "test",
        "profile_version": "1",
        "profile_sha256": profile_hash(profile),
        "models": {"own": "ab" * 32},
        "meters": [{"id": "DMM-3", "calibrated": "2026-02-01"}],
        "who": "KL",
        "unit": "14",
    }


@pytest.mark.parametrize(
    ("unit", "part"),
    [
        ("14", "unit14"),
        ("Unit 14", "unit14"),
        ("../../etc/passwd", "unitetcpasswd"),
        ("C:\\x\0", "unitcx"),
        ("", "unit"),
        ("é" * 50, "unit"),
        ("9" * 50, "unit" + "9" * 24),
    ],
)
def test_an_id_is_readable_sortable_and_cannot_lead_out_of_the_folder(
    store: Store, profile: Profile, unit: str, part: str
) -> None:
    with store.create(profile, unit=unit) as record:
        session = record.session
    assert re.fullmatch(rf"20261125-1713\d\d-{part}-[0-9a-f]{{4}}", session.id)
    assert record.folder.parent == store.folder
    assert session.unit == unit
    assert [listed.id for listed in store.find(unit)] == [session.id]


def test_sessions_are_listed_oldest_first_and_found_by_unit(store: Store, profile: Profile) -> None:
    for unit in ("14", "3", "14"):
        store.create(profile, unit=unit, who="KL").release()
    assert [(s.unit, s.who, s.profile) for s in store.sessions()] == [
        ("14", "KL", "test"),
        ("3", "KL", "test"),
        ("14", "KL", "test"),
    ]
    assert [s.opened for s in store.find("unit 14")] == sorted(s.opened for s in store.find("14"))
    assert len(store.find("14")) == 2
    assert store.path("last").name == store.sessions()[-1].id


def test_a_damaged_session_is_listed_with_its_trouble(store: Store, profile: Profile) -> None:
    store.create(profile, unit="14").release()
    journal = store.path("last") / "journal.jsonl"
    journal.write_bytes(b"{" + journal.read_bytes())
    (listed,) = store.sessions()
    assert "checksum" in listed.trouble
    with pytest.raises(RecordError, match="damaged at line 1"):
        store.read("last")


@pytest.mark.parametrize(
    "name", ["20261125-171399-unit14-0000", "../../etc", "/", "", ".", "nothing", "*"]
)
def test_an_unknown_id_names_the_nearest(store: Store, profile: Profile, name: str) -> None:
    store.create(profile, unit="14").release()
    (listed,) = store.sessions()
    with pytest.raises(UnknownNameError, match=listed.id):
        store.open(name, profile)
    with pytest.raises(UnknownNameError, match=listed.id):
        store.read(name)


def test_where_there_is_no_session_the_folder_is_named(store: Store) -> None:
    for name in ("last", "x"):
        with pytest.raises(UnknownNameError, match=re.escape(str(store.folder))):
            store.read(name)
    assert store.sessions() == ()


def test_a_part_of_an_id_will_do_if_only_one_has_it(store: Store, profile: Profile) -> None:
    for unit in ("14", "3"):
        store.create(profile, unit=unit).release()
    assert store.read("unit14").unit == "14"
    with pytest.raises(UnknownNameError, match="part of 2 sessions"):
        store.read("20261125")


def test_two_processes_cannot_write_one_session(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        with pytest.raises(RecordError, match=f"Process {os.getpid()}"):
            store.open(record.session.id, profile)
        assert store.read(record.session.id).id == record.session.id


def test_a_journal_moved_into_another_folder_is_refused(store: Store, profile: Profile) -> None:
    for unit in ("14", "3"):
        store.create(profile, unit=unit).release()
    (store.path("unit14") / "journal.jsonl").replace(store.path("unit3") / "journal.jsonl")
    with pytest.raises(RecordError, match="is that of session"):
        store.read("unit3")
    for _ in range(2):
        with pytest.raises(RecordError, match="is that of session"):
            store.open("unit3", profile)


def test_what_was_torn_and_a_changed_profile_are_told(store: Store, profile: Profile) -> None:
    store.create(profile).release()
    with (store.path("last") / "journal.jsonl").open("ab") as file:
        file.write(b'{"at":"2026')
    header = profile.profile.model_copy(update={"version": "2"})
    with store.open("last", profile.model_copy(update={"profile": header})) as record:
        torn, changed = record.told
    assert "say it again" in torn
    assert "journal.jsonl.1.torn" in torn
    assert "has changed" in changed


def test_a_correction_by_label_falls_on_the_last_reading_of_that_label(
    store: Store, profile: Profile
) -> None:
    with store.create(profile) as record:
        record.enter(reading("1"))
        record.enter(reading("2"))
        record.enter(reading("3", position="rear"))
        record.enter(reading("4", corrects=True))
        assert [r.value for r in record.session.readings] == ["1", "3", "4"]
        record.enter(reading("5", "battery_voltage", None, corrects=True))
        assert record.session.readings[-1].replaces is None
        assert record.session.readings[-1].unit == "V"


def test_a_correction_of_something_seen_takes_its_place(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        for value, corrects in (("worn", False), ("sharp", True)):
            said = ObservationSaid(words("blades"), "blades", value, corrects)
            record.enter(Settled(said, "accepted"))
        assert [o.value for o in record.session.observations] == ["sharp"]


def test_an_asked_reading_confirmed_is_the_same_reading_accepted(
    store: Store, profile: Profile
) -> None:
    with store.create(profile) as record:
        asked = record.enter(reading("12.50", status="asked", doubts=("value",)))
        record.confirm(asked.id, "affirm")
        (found,) = record.session.readings
        assert (found.value, found.status, found.doubts, found.replaces) == (
            "12.50",
            "accepted",
            (),
            asked.id,
        )
        with pytest.raises(UnknownNameError, match="Nothing is asked"):
            record.confirm(asked.id)


def test_entries_cannot_cite_what_is_not_there(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        with pytest.raises(UnknownNameError, match="no entry 99"):
            record.enter(reading(), replaces="99")
        with pytest.raises(UnknownNameError, match="no entry 99"):
            record.enter(context("station", "docked"), changes={"99": {"context": {}}})
        with pytest.raises(UnknownNameError, match="no entry 99"):
            record.withdraw("99")
        assert record.enter(reading()).seq == 2


def test_only_running_contexts_lapse(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        record.enter(context("station", "docked"))
        (entry,) = record.lapse("station", "load", reason="mower moved")
        assert entry.body == {"key": "station", "value": None, "reason": "mower moved"}
        assert record.session.context == {}


def test_closing_gives_the_head_to_be_said(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        noted = record.finish()
        assert noted == record.head[:8] == record.short_head
    session = store.read("last")
    assert session.closed is not None
    assert session.head.startswith(noted)


def test_sound_is_kept_under_the_hash_of_its_file(store: Store, profile: Profile) -> None:
    samples = np.array([0.0, 0.5, -0.5, 1.0, -1.0, 2.0], np.float32)
    with store.create(profile) as record:
        name = record.keep_audio(samples)
        assert name is not None
        assert record.keep_audio(samples) == name
        path = record.audio.path(name)
    assert path is not None
    assert hashlib.sha256(path.read_bytes()).hexdigest() == name
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (16000, 1, 2)
        pcm = np.frombuffer(file.readframes(6), "<i2")
    assert pcm.tolist() == [0, 16384, -16384, 32767, -32767, 32767]


def test_erased_sound_leaves_its_hash_in_the_record(store: Store, profile: Profile) -> None:
    with store.create(profile) as record:
        name = record.keep_audio(np.zeros(160, np.float32))
        assert name is not None
        record.enter(reading(), audio=name)
        assert not record.audio.erased(name)
        assert record.audio.erase(name)
        assert (record.audio.path(name), record.audio.erased(name)) == (None, True)
        assert not record.audio.erase(name)
    assert store.read("last").readings[0].audio == name


@pytest.mark.parametrize("name", ["", "../journal.jsonl", "a" * 63, "A" * 64])
def test_a_name_that_is_no_hash_has_no_sound(store: Store, profile: Profile, name: str) -> None:
    with store.create(profile) as record:
        assert record.audio.path(name) is None
        assert not record.audio.erased(name)


def test_readings_only_keeps_no_sound(store: Store, profile: Profile) -> None:
    with store.create(profile, keep_audio=False) as record:
        assert record.keep_audio(np.zeros(160, np.float32)) is None
        assert not record.audio.folder.exists()


def test_sound_that_cannot_be_kept_is_told(
    store: Store, profile: Profile, monkeypatch: pytest.MonkeyPatch
) -> None:
    with store.create(profile) as record:
        record.audio.folder.write_bytes(b"a file where the folder should be")
        with pytest.raises(RecordError, match="record readings only"):
            record.keep_audio(np.zeros(160, np.float32))


def test_the_first_run_is_known_and_its_note_says_how_to_keep_readings_only(
    store: Store, profile: Profile
) -> None:
    assert store.first_run
    store.create(profile).release()
    assert not store.first_run
    assert "stand by" in PRIVACY_NOTE
    assert "--no-audio" in PRIVACY_NOTE


@pytest.mark.usefixtures("unprivileged")
def test_a_folder_that_cannot_be_written_is_told(profile: Profile) -> None:
    with pytest.raises(RecordError, match=r"No session can be opened.*BENCHCALL_HOME"):
        Store(Path("/benchcall")).create(profile)


def test_a_session_of_a_newer_format_is_refused(
    store: Store, profile: Profile, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.record.opening.FORMAT", 2)
    store.create(profile).release()
    with pytest.raises(RecordError, match="newer than this one"):
        store.read("last")


def test_the_home_is_where_the_user_says_or_the_users_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    assert Store().home == tmp_path
    monkeypatch.delenv("BENCHCALL_HOME")
    assert default_home().name == "benchcall"


def test_two_sessions_of_one_second_get_two_folders(
    tmp_path: Path, profile: Profile, monkeypatch: pytest.MonkeyPatch
) -> None:
    chances = iter(["aaaa", "aaaa", "bbbb"])
    monkeypatch.setattr("secrets.token_hex", lambda _: next(chances))
    store = Store(tmp_path, Ticks(step=0))
    for _ in range(2):
        store.create(profile, unit="14").release()
    assert [s.id[-4:] for s in store.sessions()] == ["aaaa", "bbbb"]
