"""What was taken down, held against what was said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assistant.errors import AudioError
from assistant.record.session import Reading
from assistant.truth import KnownRecording, KnownUtterance, Outcome, compare, known_sessions

WANTED = {
    "quantity": "guide_signal",
    "position": "front",
    "value": "102",
    "state": "value",
    "unit": "1",
    "context": {"station": "docked"},
    "missing": [],
}
SAID = KnownUtterance("guide front one oh two docked", 1.0, 3.0, (WANTED,))
RECORDING = KnownRecording(Path("a.wav"), (SAID,))


def reading(**other: Any) -> Reading:
    told: dict[str, Any] = {
        "id": "1",
        "at": "",
        "quantity": "guide_signal",
        "position": "front",
        "state": "value",
        "value": "102",
        "unit": "1",
        "context": {"station": "docked"},
        "status": "accepted",
        "missing": (),
        "heard": "guide front one oh two docked",
        "start": 1.2,
        "end": 2.8,
    }
    return Reading(**(told | other))


@pytest.mark.parametrize(
    ("got", "outcome"),
    [
        ([], Outcome.MISSED),
        ([reading()], Outcome.RIGHT),
        ([reading(context={})], Outcome.RIGHT),
        ([reading(context={"station": "undocked"})], Outcome.WRONG),
        ([reading(value="103")], Outcome.WRONG),
        ([reading(position="rear")], Outcome.WRONG),
        ([reading(value="103", status="asked")], Outcome.ASKED),
        ([reading(context={}, missing=("station",))], Outcome.ASKED),
    ],
)
def test_each_value_that_was_said_has_one_outcome(got: list[Reading], outcome: Outcome) -> None:
    [compared] = compare(RECORDING, got)
    assert compared.outcome == outcome
    assert compared.words == SAID.words


def test_what_nobody_said_counts_as_invented_only_where_it_was_accepted() -> None:
    elsewhere = {"start": 8.0, "end": 9.0}
    got = [reading(), reading(id="2", **elsewhere), reading(id="3", status="asked", **elsewhere)]
    outcomes = [one.outcome for one in compare(RECORDING, got)]
    assert outcomes == [Outcome.RIGHT, Outcome.INVENTED]


def test_a_folder_without_recordings_whose_words_are_known_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match="Name another folder"):
        known_sessions(tmp_path)
