"""What goes to and fro between the assistant and the Vosk process, the library stood in for. The
real one, in a process of its own, is in test_vosk_ear.py."""

from __future__ import annotations

import io
import json
import sys
from types import SimpleNamespace
from typing import Any

import pytest

from assistant.hearing.vosk_process import RATE, serve

KNOWN = {"front": 1, "rear": 2}


class Recogniser:
    """Takes each piece of sound for one word; a piece of noughts ends an utterance."""

    def __init__(self, _model: object, rate: int, grammar: str | None = None) -> None:
        self.rate, self.grammar = rate, grammar
        self.words: list[str] = []

    def SetWords(self, on: bool) -> None: ...  # noqa: N802

    def SetMaxAlternatives(self, most: int) -> None: ...  # noqa: N802

    def AcceptWaveform(self, sound: bytes) -> bool:  # noqa: N802
        if not any(sound):
            return True
        self.words.append(f"w{sound[0]}")
        return False

    def _taken(self, key: str) -> str:
        said, self.words = self.words, []
        return json.dumps({key: " ".join(said)})

    def Result(self) -> str:  # noqa: N802
        return self._taken("text")

    def FinalResult(self) -> str:  # noqa: N802
        return self._taken("text")

    def PartialResult(self) -> str:  # noqa: N802
        return json.dumps({"partial": " ".join(self.words)})


class Model:
    def __init__(self, model_path: str) -> None:
        if model_path == "damaged":
            raise Exception("Failed to create a model")

    def vosk_model_find_word(self, word: str) -> int:
        return KNOWN.get(word, -1)


@pytest.fixture(autouse=True)
def library(monkeypatch: pytest.MonkeyPatch) -> None:
    vosk = SimpleNamespace(Model=Model, KaldiRecognizer=Recogniser, SetLogLevel=lambda _: None)
    monkeypatch.setitem(sys.modules, "vosk", vosk)  # type: ignore[arg-type]


def answers(*requests: dict[str, Any] | tuple[dict[str, Any], bytes]) -> list[dict[str, Any]]:
    """What the process answers; a sound comes behind its request."""
    sent = b""
    for request in requests:
        line, sound = request if isinstance(request, tuple) else (request, b"")
        sent += json.dumps(line).encode() + b"\n" + sound
    given = io.BytesIO()
    serve("model", io.BytesIO(sent), given)
    return [json.loads(line) for line in given.getvalue().splitlines()]


def test_it_says_that_it_is_ready_and_which_words_the_model_lacks() -> None:
    assert answers({"find": ["front", "undocked"]}) == [{"ready": True}, {"missing": ["undocked"]}]


def test_a_sound_is_heard_by_all_three_and_times_run_on_from_one_to_the_next() -> None:
    sound = bytes([7]) * 2 * RATE  # a second of 16-bit samples
    request = ({"bytes": len(sound)}, sound)
    *_, first, second = answers({"grammar": ["front", "rear"]}, request, request)
    assert {first[name]["text"] for name in ("words", "alternatives", "open")} == {"w7"}
    assert second["since"] - first["since"] == 1.0


def test_of_an_utterance_in_pieces_what_vosk_takes_for_its_end_is_kept() -> None:
    pieces = [(bytes([n, n]), n == 1) for n in (1, 2, 0, 3)] + [(bytes([4, 4]), True)]
    requests = [({"bytes": 2, "fresh": fresh}, sound) for sound, fresh in pieces]
    told = [answer["so far"] for answer in answers({"grammar": ["front"]}, *requests)[2:]]
    assert told == ["w1", "w1 w2", "w1 w2", "w1 w2 w3", "w4"]


def test_a_model_that_can_not_be_loaded_is_told_and_nothing_more_is_answered() -> None:
    given = io.BytesIO()
    serve("damaged", io.BytesIO(b'{"find": []}\n'), given)
    assert json.loads(given.getvalue()) == {"error": "Failed to create a model"}
