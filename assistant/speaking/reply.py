"""What speaking/ gives on: what is said aloud and shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

Tone = Literal["accepted", "asked", "out", "none"]


@dataclass(frozen=True, slots=True)
class Reply:
    """``shown`` is for the screen ("guide front 102, docked"), ``spoken`` for the voice, digit by
    digit ("guide front one zero two, docked"). The tone sounds after the words and can be told
    apart with the eyes closed."""

    shown: str
    spoken: str
    tone: Tone = "none"
    about: tuple[str, ...] = ()


def each_question_once(replies: Sequence[Reply]) -> list[Reply]:
    """A question in which another of the replies ends is shown but not said."""
    return [
        replace(reply, spoken="")
        if reply.tone == "asked" and any(r.spoken.endswith(f" {reply.spoken}") for r in replies)
        else reply
        for reply in replies
    ]
