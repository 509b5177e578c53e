"""The ears at the other end of a pipe, with the real recogniser that is always there."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.errors import ModelError, UnknownNameError
from assistant.hearing.heard import EarHearing
from assistant.live.ears_process import EarsProcess
from assistant.shipped import shipped
from tests.hearing.demo_speech import said


@pytest.fixture(scope="module")
def ears() -> Iterator[EarsProcess]:
    with EarsProcess("robot_mower", ["own", "pocketsphinx"]) as opened:
        opened.ready()
        yield opened


def words(hearing: EarHearing) -> str:
    return hearing.hypotheses[0].text


def test_every_ear_hears_in_its_order(ears: EarsProcess) -> None:
    hearings = list(ears.listen(said("guide rear minus sixty five")))
    assert [hearing.ear for hearing in hearings] == ["own", "pocketsphinx"]
    assert words(hearings[0]) == "guide rear minus sixty five"
    assert ears.trusted("own", "pocketsphinx")


def test_who_has_heard_enough_wakes_no_further_ear(ears: EarsProcess) -> None:
    for hearing in ears.listen(said("guide rear minus sixty five")):
        assert hearing.ear == "own"
        break
    [first, _] = ears.listen(said("boundary front one thirty six"))
    assert words(first) == "boundary front one thirty six"


def test_ears_that_die_are_told_and_started_again(ears: EarsProcess) -> None:
    pid = ears._process.pid
    assert pid is not None
    os.kill(pid, signal.SIGKILL)
    assert list(ears.listen(said("guide rear minus sixty five"))) == []
    assert any("Say the last thing again" in line for line in ears.told())
    [first, _] = ears.listen(said("guide rear minus sixty five"))
    assert words(first) == "guide rear minus sixty five"


def test_ears_that_hang_are_ended_told_and_started_again(
    ears: EarsProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    pid = ears._process.pid
    assert pid is not None
    ears.ready()
    with monkeypatch.context() as patch:
        patch.setattr(ears, "patience", 0.2)
        os.kill(pid, signal.SIGSTOP)
        assert list(ears.listen(said("guide rear minus sixty five"))) == []
    assert any("Say the last thing again" in line for line in ears.told())
    [first, _] = ears.listen(said("guide rear minus sixty five"))
    assert words(first) == "guide rear minus sixty five"


def test_a_damaged_model_is_refused_before_anybody_speaks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = (shipped("models") / "own.onnx").read_bytes()
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "own.onnx").write_bytes(whole[: len(whole) // 2])
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    with EarsProcess("robot_mower") as damaged, pytest.raises(ModelError, match="is damaged"):
        damaged.ready()


def test_an_ear_that_is_not_here_is_refused_in_the_same_words() -> None:
    with (
        EarsProcess("robot_mower", ["nobody"]) as none,
        pytest.raises(UnknownNameError, match="nobody"),
    ):
        none.ready()
