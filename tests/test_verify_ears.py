"""What a pair of ears would have accepted of recordings whose words are known is counted right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.audio.utterance import Utterance
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.profile import load_profile
from assistant.shipped import shipped
from assistant.truth import KnownSession, known_sessions
from assistant.verify_ears import PairResult, verify_ears


class TruthfulEars:
    """Ears that hear what was said; a liar hears "nine" for every last word of a reading."""

    def __init__(self, session: KnownSession, liars: Sequence[str], deaf: Sequence[str]) -> None:
        self._said = [
            (recording.path.name, known)
            for recording in session.recordings
            for known in recording.utterances
        ]
        self._liars, self._deaf = liars, deaf
        self.woken = 0

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        self.woken += 1
        said = [
            known
            for source, known in self._said
            if source == utterance.source
            and known.start < utterance.end
            and known.end > utterance.start
        ]
        text = " ".join(known.words for known in said)
        for ear in ("one", "two", "three"):
            words = text.split() if ear not in self._deaf else []
            if ear in self._liars and any(known.readings for known in said):
                words = [*words[:-1], "nine" if words[-1] != "nine" else "eight"]
            step = (utterance.end - utterance.start) / (len(words) + 1)
            heard = tuple(
                HeardWord(word, utterance.start + n * step, utterance.start + (n + 1) * step, 0.9)
                for n, word in enumerate(words)
            )
            yield EarHearing(ear, (Hypothesis(heard, 0.9),) if heard else ())


@pytest.fixture(scope="module")
def session() -> KnownSession:
    """One recording of a clean mower."""
    whole = next(s for s in known_sessions(shipped("demo_audio")) if s.name == "unit_31_clean")
    return replace(whole, recordings=whole.recordings[:1])


def played(
    session: KnownSession, folder: Path, liars: Sequence[str] = (), deaf: Sequence[str] = ()
) -> dict[tuple[str, str], PairResult]:
    ears = TruthfulEars(session, liars, deaf)
    told: list[str] = []
    results = verify_ears(
        ears, ("one", "two", "three"), [session], load_profile(), folder, told.append
    )
    assert told == [f"{session.name}/{recording.path.name}" for recording in session.recordings]
    return {result.ears: result for result in results}


def values(session: KnownSession) -> int:
    return sum(len(u.readings) for recording in session.recordings for u in recording.utterances)


def test_two_that_hear_what_was_said_are_right_and_a_deaf_third_lets_nothing_through(
    session: KnownSession, tmp_path: Path
) -> None:
    results = played(session, tmp_path, deaf=["three"])
    assert set(results) == {("one", "two"), ("one", "three"), ("two", "three")}
    good = results["one", "two"]
    assert good.right + good.asked == values(session)
    assert good.right > good.asked
    assert good.wrong == 0
    for pair in (("one", "three"), ("two", "three")):
        assert (results[pair].right, results[pair].wrong) == (0, 0)
        assert results[pair].asked == values(session)


def test_a_value_on_which_two_liars_agree_is_counted_wrong(
    session: KnownSession, tmp_path: Path
) -> None:
    results = played(session, tmp_path, liars=["two", "three"])
    assert results["two", "three"].wrong > 0
    assert results["two", "three"].right < values(session) / 2
    assert (results["one", "two"].wrong, results["one", "three"].wrong) == (0, 0)
    assert results["one", "two"].asked > values(session) / 2
