"""Typed words as a hearing: nothing is heard more certainly."""

from __future__ import annotations

from assistant.hearing.heard import EarHearing, Heard, HeardWord, Hypothesis

TYPED = "typed"


def typed_hearing(line: str) -> EarHearing:
    """Words have no times; each counts as one second, so that their order is kept."""
    words = tuple(
        HeardWord(word, float(place), place + 1.0, 1.0)
        for place, word in enumerate(line.lower().split())
    )
    hypotheses = (Hypothesis(words, 1.0),) if words else ()
    return EarHearing(TYPED, hypotheses, certain=True)


def typed_heard(line: str) -> Heard:
    """A line as an utterance that was heard, with quiet enough around it."""
    hearing = typed_hearing(line)
    end = float(len(hearing.words))
    return Heard(TYPED, 0.0, end, end, end, (hearing,))
