"""The one interface behind which all recognisers stand."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from assistant.audio.utterance import Utterance
from assistant.hearing.heard import EarHearing


@runtime_checkable
class Recogniser(Protocol):
    """An ear. It is made once from a profile, hears many utterances, and is closed.

    ``name`` is the id that ``--ear`` takes. ``hear`` raises HearingError where the recogniser
    failed (not where it heard nothing: that is an EarHearing without hypotheses).
    """

    name: str

    def hear(self, utterance: Utterance) -> EarHearing: ...

    def close(self) -> None: ...
