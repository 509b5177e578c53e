"""The one interface behind which all recognisers stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, runtime_checkable

from assistant.audio.utterance import Utterance
from assistant.hearing.heard import EarHearing
from assistant.hearing.proposals import Proposal


@runtime_checkable
class Recogniser(Protocol):
    """An ear. It is made once from a profile, hears many utterances, and is closed.

    ``name`` is the id that ``--ear`` takes. ``hear`` raises HearingError where the recogniser
    failed (not where it heard nothing: that is an EarHearing without hypotheses).
    """

    @property
    def name(self) -> str: ...

    def hear(self, utterance: Utterance) -> EarHearing: ...

    def close(self) -> None: ...


@runtime_checkable
class Weigher(Recogniser, Protocol):
    """An ear that can also weigh what the ears before it heard, beside its own words."""

    def weigh(self, utterance: Utterance, proposals: Sequence[Proposal]) -> EarHearing: ...
