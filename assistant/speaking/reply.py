"""What speaking/ gives on: what is said aloud and shown."""

from __future__ import annotations

from dataclasses import dataclass
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
