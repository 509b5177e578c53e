from __future__ import annotations

import pytest

from assistant.record.write import entry_for
from assistant.settling.settled import Settled
from assistant.wording.statement import (
    CommandSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    Statement,
)

from .saying import context, reading, words


def test_a_reading_is_entered_as_its_json_says() -> None:
    settled = reading("-65", status="asked", missing=("station",), context={}, doubts=("value",))
    assert entry_for(settled, unit="1", source="a.wav") == (
        "reading",
        {
            "source": "a.wav",
            "start": 0.4,
            "end": 1.85,
            "quantity": "guide_signal",
            "position": "front",
            "value": "-65",
            "state": "value",
            "unit": "1",
            "context": {},
            "status": "asked",
            "missing": ["station"],
            "confidence": 0.0,
            "heard": "guide front one oh two",
            "replaces": None,
            "doubts": ["value"],
        },
    )


@pytest.mark.parametrize("state", ["no_reading", "off_scale"])
def test_no_reading_and_off_scale_have_no_value(state: str) -> None:
    _, body = entry_for(reading(None, state=state))
    assert (body["state"], body["value"]) == (state, None)


@pytest.mark.parametrize(
    ("said", "kind", "body"),
    [
        (
            ObservationSaid(words("blades worn"), "blade_condition", "worn"),
            "observation",
            {
                "item": "blade_condition",
                "value": "worn",
                "heard": "blades worn",
                "replaces": None,
                "status": "accepted",
            },
        ),
        (
            CommandSaid(words("job fourteen"), "job", "14"),
            "command",
            {"command": "job", "argument": "14", "heard": "job fourteen"},
        ),
        (
            NoteSaid(words("note rust"), "rust"),
            "note",
            {"text": "rust", "heard": "note rust"},
        ),
        (
            NotUnderstood(words("mumble"), "no label"),
            "not_understood",
            {"text": "mumble", "reason": "no label"},
        ),
    ],
)
def test_whatever_is_said_is_entered(said: Statement, kind: str, body: dict[str, object]) -> None:
    assert entry_for(Settled(said, "accepted")) == (kind, body)


@pytest.mark.parametrize(
    "settled",
    [reading(status="nothing", doubts=("one_ear",)), reading(quantity=None, doubts=("one_ear",))],
)
def test_what_settled_to_nothing_is_kept_as_not_understood_and_is_no_reading(
    settled: Settled,
) -> None:
    assert entry_for(settled) == (
        "not_understood",
        {"text": "guide front one oh two", "reason": "one_ear"},
    )


def test_a_context_that_ends_has_no_value() -> None:
    assert entry_for(context("station", None))[1]["value"] is None


def test_the_sound_of_a_note_is_cited_too() -> None:
    _, body = entry_for(
        Settled(NoteSaid(words("note rust"), "rust"), "accepted"), "", "a.wav", "ab" * 32
    )
    assert (body["source"], body["start"], body["audio"]) == ("a.wav", 0.4, "ab" * 32)


def test_bytes_that_are_no_utf_8_are_kept_as_escapes() -> None:
    typed = b"rust \xff here".decode("utf-8", "surrogateescape")
    _, body = entry_for(Settled(NoteSaid((), typed), "accepted"))
    assert body["text"] == "rust \\udcff here"
