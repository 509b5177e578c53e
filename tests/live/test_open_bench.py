"""What is refused before anybody listens, with PortAudio stood in for."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from assistant.errors import SpeechError, UnknownNameError
from assistant.live.open_bench import Asked, listen_at_bench


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setitem(sys.modules, "sounddevice", SimpleNamespace(query_devices=list))  # type: ignore[arg-type]
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    return tmp_path


def listen(asked: Asked) -> None:
    no_ears: Any = None
    listen_at_bench(asked, no_ears, lambda _: None)


def test_a_round_that_there_is_not_is_refused_with_those_there_are(home: Path) -> None:
    with pytest.raises(UnknownNameError, match=r"no round 'wheels'.*sensors.*safety_release"):
        listen(Asked(round="wheels"))
    assert not list(home.iterdir())


def test_a_device_that_there_is_not_is_refused_with_those_there_are() -> None:
    with pytest.raises(UnknownNameError, match="no loudspeaker 'horn'"):
        listen(Asked(speaker="horn"))


def test_the_voice_of_the_platform_is_refused_where_it_brings_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(SpeechError, match="leave --platform-voice out"):
        listen(Asked(platform_voice=True))
