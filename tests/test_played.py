"""A known session is played to its end: taken down, said back into a file, reported, compared."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant import played
from assistant.audio.utterance import Utterance
from assistant.errors import SpeechError
from assistant.hearing.heard import EarHearing
from assistant.shipped import shipped
from assistant.truth import KnownSession, Outcome, known_sessions
from tests.test_verify_ears import TruthfulEars


class Ears(TruthfulEars):
    """As ``hearing.ears.Ears``, of recordings whose words are known."""

    description = "one, two"

    def __init__(self, session: KnownSession) -> None:
        super().__init__(session, liars=(), deaf=())
        self.models = {"one": "0" * 64, "two": "1" * 64}

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        return super().listen(replace(utterance, source=Path(utterance.source).name))

    def trusted(self, first: str, second: str) -> bool:
        return True

    def told(self) -> tuple[str, ...]:
        return ()


class NoVoice:
    def say(self, text: str) -> Any:
        raise SpeechError("There is no voice here, so all is shown and nothing said.")

    def close(self) -> None: ...


@pytest.fixture(scope="module")
def session() -> KnownSession:
    """One recording of a clean mower, and one that the demo leaves out."""
    whole = next(s for s in known_sessions(shipped("demo_audio")) if s.name == "unit_31_clean")
    too_long = next(one for one in whole.recordings if one.verify_only)
    return replace(whole, recordings=(whole.recordings[0], too_long))


@pytest.fixture(autouse=True)
def ears(session: KnownSession, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(played, "_ears", lambda: Ears(session))


def test_it_is_taken_down_said_back_reported_and_compared(
    session: KnownSession, tmp_path: Path
) -> None:
    done = played.play(session, tmp_path, quiet=False)
    assert {one.outcome for one in done.compared} == {Outcome.RIGHT}
    said = sum(len(known.readings) for known in session.recordings[0].utterances)
    assert len(done.compared) == said, "what only serves to verify is left out"
    assert done.ears == "one, two"
    samples, rate = soundfile.read(tmp_path / f"{session.name}.wav")
    assert len(samples) > 5 * rate
    assert np.abs(samples).max() > 0.1
    [report] = tmp_path.glob("*.html")
    assert f"Report: {report}" in done.text
    assert "guide signal front" in done.text
    assert "guide signal" in report.read_text("utf-8")


def test_quiet_tells_what_was_found_and_not_each_reading(
    session: KnownSession, tmp_path: Path
) -> None:
    loud = played.play(session, tmp_path / "loud", quiet=False).text
    quiet = played.play(session, tmp_path / "quiet", quiet=True).text
    assert "✓ guide signal front" in loud
    assert "✓ guide signal front" not in quiet
    assert "What is wrong" in quiet


def test_without_a_voice_the_job_is_done_in_silence_and_says_why(
    session: KnownSession, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(played, "open_voice", NoVoice)
    done = played.play(session, tmp_path, quiet=True)
    assert {one.outcome for one in done.compared} == {Outcome.RIGHT}
    assert not list(tmp_path.glob("*.wav"))
    assert list(tmp_path.glob("*.html"))
