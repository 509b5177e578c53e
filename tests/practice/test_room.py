"""Practice stays in its own folder: no exercise is ever among the real records."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console
from typer.testing import CliRunner

from assistant.audio.utterance import Utterance
from assistant.commands import app
from assistant.errors import RecordError
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.practice.room import PracticeRoom
from assistant.practice.terminal import do
from assistant.practice.under_way import MOST, AllUnderWay
from assistant.profile import load_profile
from assistant.record.store import Store
from tests.practice.conftest import EXERCISES, Days, Typed
from tests.practice.trainees import perfect


def test_no_exercise_appears_among_the_sessions_that_a_supervisor_sees(
    room: PracticeRoom, typed: Typed
) -> None:
    home = room.folder.parent
    with Store(home).create(load_profile(), who="K. M.", unit="14") as real:
        real_id = real.session.id
    for name in ("first_minute", "listen_docked", "fault_contacts"):
        typed(name, perfect(EXERCISES[name]))
    assert [listed.id for listed in Store(home).sessions()] == [real_id]
    assert len(Store(room.folder).sessions()) == 3
    assert [p.name for p in (home / "sessions").iterdir()] == [real_id]


def test_practice_writes_nothing_outside_its_folder(room: PracticeRoom, typed: Typed) -> None:
    typed("first_minute", perfect(EXERCISES["first_minute"]))
    assert [path.name for path in room.folder.parent.iterdir()] == ["practice"]


def test_an_exercise_left_before_its_end_keeps_no_marks(room: PracticeRoom) -> None:
    play = room.start(EXERCISES["first_minute"])
    play.begin()
    play.type("guide front 102")
    with pytest.raises(ValueError, match="not done"):
        room.finish(play)
    play.close()
    assert room.log.read() == ((), ())


def test_marks_are_kept_for_each_trainee(room: PracticeRoom, typed: Typed, days: Days) -> None:
    typed("first_minute", perfect(EXERCISES["first_minute"]))
    other = PracticeRoom(room.folder.parent, "C. D.", days)
    assert [one.who for one in room.log.read("A. B.")[0]] == ["A. B."]
    assert other.log.read("C. D.")[0] == ()


def test_a_damaged_line_of_the_log_is_passed_over_and_told(
    room: PracticeRoom, typed: Typed
) -> None:
    typed("first_minute", perfect(EXERCISES["first_minute"]))
    path = room.folder / "practised.jsonl"
    path.write_text('{"at": "yesterday"}\n' + path.read_text("utf-8") + '{"torn', "utf-8")
    done, wrong = room.log.read()
    assert len(done) == 1
    assert [("line 1" in wrong[0]), ("line 3" in wrong[1])] == [True, True]


def test_a_log_that_cannot_be_written_or_read_is_told(room: PracticeRoom, typed: Typed) -> None:
    path = room.folder / "practised.jsonl"
    path.mkdir(parents=True)
    with pytest.raises(RecordError, match=r"can't be kept in .*BENCHCALL_HOME"):
        typed("first_minute", perfect(EXERCISES["first_minute"]))
    done, [wrong] = room.log.read()
    assert done == ()
    assert "set it aside to begin anew" in wrong


def test_a_moment_without_its_zone_is_passed_over(room: PracticeRoom, typed: Typed) -> None:
    typed("first_minute", perfect(EXERCISES["first_minute"]))
    path = room.folder / "practised.jsonl"
    path.write_text(path.read_text("utf-8").replace("+00:00", ""), "utf-8")
    done, [wrong] = room.log.read()
    assert (done, "no zone" in wrong) == ((), True)


def test_an_exercise_that_is_not_done_gets_no_marks(room: PracticeRoom) -> None:
    play = room.start(EXERCISES["first_minute"])
    with pytest.raises(ValueError, match="is not done yet"):
        room.finish(play)
    play.close()


def test_the_oldest_exercise_makes_room_and_its_session_is_let_go(room: PracticeRoom) -> None:
    all_of_them = AllUnderWay()
    keys = [all_of_them.start(room, EXERCISES["first_minute"]) for _ in range(MOST + 1)]
    assert all_of_them.find(keys[0]) is None
    [last] = [one for key in keys[-1:] if (one := all_of_them.find(key))]
    last.type("undocked, guide front 102, rear 98")
    last.type("done")
    last.type("next")  # the verdict is asked for, and this is none
    assert last.said[-1][1][0].startswith("Name labels, as in")
    last.type("none")
    assert last.done is not None
    for key in keys[1:-1]:
        one = all_of_them.find(key)
        assert one is not None
        one.play.close()


def run(home: Path, *args: str, typed: str = "") -> str:
    result = CliRunner().invoke(
        app, ["practise", *args], input=typed, env={"BENCHCALL_HOME": str(home)}
    )
    assert result.exit_code == 0, result.output
    return result.output


def test_the_command_lists_every_exercise(tmp_path: Path) -> None:
    output = run(tmp_path, "--list")
    for name in EXERCISES:
        assert name in output
    assert str(tmp_path / "practice" / "exercises").replace("\n", "") in output.replace("\n", "")


def test_a_piped_exercise_is_done_marked_and_kept(tmp_path: Path) -> None:
    lines = "guide front 102, rear 98, undocked\ndone\nnone\n"
    output = run(tmp_path, "first_minute", "--who", "A. B.", typed=lines)
    assert "100 of 100, passed" in output
    assert "Next: benchcall practise" in output
    [line] = (tmp_path / "practice" / "practised.jsonl").read_text("utf-8").splitlines()
    assert json.loads(line)["marks"] == 100


def test_each_lost_mark_is_told_with_rule_and_sound(tmp_path: Path) -> None:
    lines = "docked\nguide front 102\nguide rear -65\nboundary front 136\nquality 100\ndone\nnone\n"
    output = run(tmp_path, "listen_docked", typed=lines)
    assert "boundary signal rear −237" in output
    assert "A value that isn't in the record loses its share" in " ".join(output.split())
    [wav] = (tmp_path / "practice" / "again" / "listen_docked").glob("*.wav")
    assert wav.stat().st_size > 32_000


def test_the_picture_is_written_where_asked(tmp_path: Path) -> None:
    picture = tmp_path / "scene.svg"
    run(tmp_path, "first_minute", "--picture", str(picture))
    assert picture.read_text("utf-8").startswith("<svg")


def test_without_a_name_one_is_chosen_and_the_end_of_input_ends_it(tmp_path: Path) -> None:
    output = run(tmp_path)
    assert "Chosen for you" in output
    assert "no marks are kept" in output
    assert not (tmp_path / "practice" / "practised.jsonl").exists()


def test_progress_is_shown_for_weeks(tmp_path: Path) -> None:
    assert "Nothing was practised yet" in run(tmp_path, "--progress")
    run(tmp_path, "first_minute", typed="undocked, guide front 102\ndone\nnone\n")
    output = run(tmp_path, "--progress", "--picture", str(tmp_path / "p.svg"))
    assert "getting numbers right" in output
    assert "Next: benchcall practise" in output
    assert "<svg" in (tmp_path / "p.svg").read_text("utf-8")


class Told:
    """Ears that hear, one utterance after the other, what they were told; two that agree."""

    def __init__(self, *lines: str) -> None:
        self._lines = iter(lines)

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        words = tuple(
            HeardWord(word, place / 2, place / 2 + 0.4, 1.0)
            for place, word in enumerate(next(self._lines).split(), 1)
        )
        for ear in ("own", "whisper"):
            yield EarHearing(ear, (Hypothesis(words, 1.0),), open_vocabulary=ear == "whisper")


def test_an_exercise_is_done_by_voice_until_the_job_is_closed(room: PracticeRoom) -> None:
    said = "docked guide front one oh two", "guide rear minus sixty five", "close job", "never"
    quiet = np.zeros(16_000 * 6, np.float32)
    spoken = [Utterance(quiet, 16_000, 0.0, 6.0, 1.0, 1.0, "mic") for _ in said]
    play = room.start(EXERCISES["docked_is_different"], ears=Told(*said), trusted=lambda *_: True)
    shown = io.StringIO()
    console = Console(file=shown, width=100)
    assert do(play, console, ["guide rear"], spoken=spoken) is True
    assert "guide signal rear −65, docked" in shown.getvalue()
    assert play.done is not None
    assert [(r.quantity, r.position, r.value) for r in play.done.readings] == [
        ("guide_signal", "front", "102"),
        ("guide_signal", "rear", "-65"),
    ]
    room.finish(play)
