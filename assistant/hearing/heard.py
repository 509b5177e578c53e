"""What hearing/ gives on: every ear's hypotheses for one utterance."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeardWord:
    """A word, lower case, with its time (s, in the source) and the ear's confidence 0…1."""

    text: str
    start: float
    end: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One way an ear understands the whole utterance; ``confidence`` is 0…1."""

    words: tuple[HeardWord, ...]
    confidence: float

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True)
class EarHearing:
    """What one recogniser made of an utterance, best hypothesis first (none: it heard nothing).

    ``prompted`` holds the words that the recogniser was led to expect by a prompt: it may invent
    them, so for these it is no witness. ``off_grammar`` says how much better free speech (phones
    or open words) explains the sound than the grammar does, in nats a second; None where the ear
    can't tell. ``open_vocabulary``: the ear goes by language too and is bound to no grammar.
    ``shares``: the confidences of the hypotheses are shares of one probability, so that they tell
    how much likelier one is than another. ``certain`` marks typed words.
    """

    ear: str
    hypotheses: tuple[Hypothesis, ...]
    prompted: frozenset[str] = frozenset()
    off_grammar: float | None = None
    certain: bool = False
    open_vocabulary: bool = False
    shares: bool = False

    @property
    def words(self) -> tuple[HeardWord, ...]:
        """Those of the best hypothesis; () where it heard nothing."""
        return self.hypotheses[0].words if self.hypotheses else ()


@dataclass(frozen=True, slots=True)
class Heard:
    """All ears' hearings of one utterance; times in seconds, in the source. ``unbroken``: no sound
    is missing in it or just before it. ``calm``: hardly any noise around it."""

    source: str
    start: float
    end: float
    quiet_before: float
    quiet_after: float
    ears: tuple[EarHearing, ...]
    unbroken: bool = True
    calm: bool = False
