"""Which ears are opened, by what is here and what was asked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import ModelError
from assistant.hearing import ears as module
from assistant.hearing.ears import Ears, open_ears
from assistant.hearing.model_store import FoundModel
from assistant.profile import load_profile, load_spoken
from tests.hearing.test_ears import Fake


class Here:
    """What this machine has of the ears: those named, and those whose model is damaged."""

    def __init__(self, *names: str, damaged: tuple[str, ...] = ()) -> None:
        self._names, self._damaged = names, damaged

    def find(self, name: str) -> FoundModel | None:
        if name in self._damaged:
            raise ModelError(f"The model of {name} is damaged. Fetch it again.")
        return FoundModel(name, Path(name), name * 8, "made") if name in self._names else None

    def open(self, monkeypatch: pytest.MonkeyPatch, *asked: str) -> Ears:
        makers = {name: lambda _, name=name: Fake(name) for name in module._MAKERS}
        monkeypatch.setattr(module, "_MAKERS", makers)
        monkeypatch.setattr(module, "find_model", self.find)
        return open_ears(load_profile("garden_tractor"), load_spoken(), asked)


def test_all_that_are_here_are_opened_and_a_damaged_one_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ears = Here("own", "pocketsphinx", damaged=("letters",)).open(monkeypatch)
    assert ears.description == "own, pocketsphinx"
    assert ears.models == {"own": "own" * 8, "pocketsphinx": "pocketsphinx" * 8}
    assert ears.told() == (
        "Going on without the ear letters. The model of letters is damaged. Fetch it again.",
    )
    assert ears.told() == ()


def test_one_ear_alone_is_told_to_ask_about_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    ears = Here("own", "letters").open(monkeypatch, "letters")
    assert ears.description == "letters alone, so that everything is asked and confirmed"


@pytest.mark.parametrize(
    ("here", "asked", "told"),
    [
        (Here("own"), ("own", "whisper"), r"The ear whisper is not here\. pip install"),
        (Here("own", damaged=("letters",)), ("letters",), "model of letters is damaged"),
        (Here(), (), r"No recogniser is here\. pip install"),
    ],
)
def test_what_was_asked_for_and_is_not_here_is_refused_with_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch, here: Here, asked: tuple[str, ...], told: str
) -> None:
    with pytest.raises(ModelError, match=told):
        here.open(monkeypatch, *asked)
