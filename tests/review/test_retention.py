"""The depot's rule on sound: what goes, what stays, and that the hash stays always."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.errors import ProfileError
from assistant.profile import load_profile
from assistant.record.audio import AudioFolder
from assistant.record.store import Store
from assistant.review.retention import erase_due
from assistant.review.settings import FILE, Sound, read_settings
from tests.record.saying import Ticks, reading

from .conftest import tone

OPENED = datetime(2020, 4, 6, 8, 0, 0, tzinfo=UTC)


def opened(home: Path, closed: bool = True) -> tuple[Store, str, dict[str, str]]:
    """A session with four sounds: a healthy pair, one out of tolerance, one asked about."""
    clock = Ticks()
    clock.moment = OPENED
    store = Store(home, clock)
    undocked = {"context": {"station": "undocked"}}
    said = {
        "front": reading("102", **undocked),
        "rear": reading("99", position="rear", **undocked),
        "tilt": reading("9.5", "station_tilt", None, context={}),
        "asked": reading("40", "signal_quality", None, status="asked", context={}),
    }
    sounds = {}
    with store.create(load_profile(), who="KL", unit="14") as record:
        for number, (name, settled) in enumerate(said.items(), 1):
            sound = record.keep_audio(tone(0.1 * number))
            assert sound is not None
            sounds[name] = sound
            record.enter(settled, audio=sound)
        if closed:
            record.finish()
        return store, record.session.id, sounds


def after(days: float) -> Callable[[], datetime]:
    return lambda: OPENED + timedelta(days=days, seconds=1)


def left(store: Store, session: str, sounds: dict[str, str]) -> set[str]:
    audio = AudioFolder(store.path(session) / "audio")
    return {name for name, sound in sounds.items() if audio.path(sound) is not None}


def erase(store: Store, rule: Sound, days: float) -> str:
    return "\n".join(erase_due(store, rule, after(days)))


def test_the_rule_to_keep_erases_nothing_and_says_so(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    assert "Nothing was erased" in erase(store, Sound(), 10_000)
    assert left(store, session, sounds) == set(sounds)


def test_after_its_days_every_sound_goes_and_every_hash_stays(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    before = (store.path(session) / "journal.jsonl").read_bytes()
    rule = Sound(keep="days", days=30)
    assert erase(store, rule, 29.9).startswith("Recordings erased: 0, in 0 sessions")
    assert left(store, session, sounds) == set(sounds)
    assert erase(store, rule, 30.1).startswith("Recordings erased: 4, in 1 session;")
    assert left(store, session, sounds) == set()
    audio = AudioFolder(store.path(session) / "audio")
    for sound in sounds.values():
        assert audio.why_erased(sound) == "rule of this depot: sound is erased after 30 days"
    assert {r.audio for r in store.read(session).readings} == set(sounds.values())
    assert (store.path(session) / "journal.jsonl").read_bytes() == before
    assert erase(store, rule, 30.1).startswith("Recordings erased: 0,")


def test_flagged_sound_and_sound_behind_a_question_is_kept(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    erase(store, Sound(keep="flagged", days=0), 1)
    assert left(store, session, sounds) == {"tilt", "asked"}


def test_sound_behind_a_correction_is_kept(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    with store.review(session, "MB") as review:
        review.correct("2", "the sound says one oh four", value="104")
    erase(store, Sound(keep="flagged", days=0), 1)
    assert left(store, session, sounds) == {"front", "tilt", "asked"}


@pytest.mark.parametrize("keep", ["flagged", "days"])
def test_an_open_session_keeps_its_sound(tmp_path: Path, keep: str) -> None:
    store, session, sounds = opened(tmp_path, closed=False)
    erase(store, Sound.model_validate({"keep": keep, "days": 0}), 100)
    assert left(store, session, sounds) == set(sounds)


def test_a_damaged_session_is_told_where_the_rule_needs_to_read_it(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    journal = store.path(session) / "journal.jsonl"
    journal.write_bytes(journal.read_bytes().replace(b'"102"', b'"103"'))
    assert f"{session}: its sound was kept" in erase(store, Sound(keep="flagged", days=0), 1)
    assert left(store, session, sounds) == set(sounds)
    erase(store, Sound(keep="days", days=0), 1)
    assert left(store, session, sounds) == set()


def test_the_rule_stands_in_a_file_that_is_validated_like_a_profile(tmp_path: Path) -> None:
    assert read_settings(tmp_path).sound.keep == "always"
    path = tmp_path / FILE
    path.write_text('[sound]\nkeep = "flagged"\ndays = 14\n')
    assert read_settings(tmp_path).sound == Sound(keep="flagged", days=14)
    path.write_text('[sound]\nkeep = "sometimes"\n')
    with pytest.raises(ProfileError, match=r"settings.toml, line 2, sound.keep.*'sometimes'"):
        read_settings(tmp_path)
    path.write_text("[sound]\nday = 3\n")
    with pytest.raises(ProfileError, match="line 2"):
        read_settings(tmp_path)


def test_the_command_applies_the_rule_and_ends(tmp_path: Path) -> None:
    store, session, sounds = opened(tmp_path)
    runner = CliRunner(env={"BENCHCALL_HOME": str(tmp_path)})
    done = runner.invoke(app, ["review", "--erase-now"])
    assert done.exit_code == 0
    assert "Nothing was erased" in done.output
    (tmp_path / FILE).write_text('[sound]\nkeep = "days"\ndays = 0\n')
    done = runner.invoke(app, ["review", "--erase-now"])
    assert "their hashes stay in the records" in done.output
    assert "rule: sound is erased after 0 days" in done.output
    assert left(store, session, sounds) == set()
