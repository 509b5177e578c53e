"""What is seen while listening: the level of the microphone, what the assistant does just now, and
the last reading in big figures. Where the output is no terminal, only what changes is printed."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray
from rich.console import Console, Group, RenderableType
from rich.live import Live
from rich.text import Text

from assistant.live.figures import big
from assistant.report.printable import printable
from assistant.report.transcript import MARKS
from assistant.speaking.reply import Reply, Tone

Doing = Literal[
    "listening", "hearing", "speaking", "standing by", "press a key", "speak now", "no microphone"
]
QUIETEST_DB = -60.0
"""Level at the left end of the meter, dBFS; the right end is full scale."""
TOO_LOUD = 0.99
"""Of full scale: such peaks are cut off by the microphone."""
WIDTH = 30
_EVERY = 4
"""Blocks between two pictures: about eight pictures a second."""
_STYLES: dict[Tone, str] = {
    "accepted": "bold green",
    "asked": "bold yellow",
    "out": "bold red",
    "none": "bold",
}


class Screen(Protocol):
    def level(self, samples: NDArray[np.float32]) -> None:
        """A block was heard."""

    def doing(self, what: Doing) -> None: ...

    def heard_by(self, ears: Sequence[str]) -> None:
        """These were woken for what is answered now."""

    def show(self, value: str, reply: Reply) -> None:
        """The last reading, "" for none, and what was said about it."""


class Lines:
    """For an output that is no terminal: each change of what it does, a line."""

    def __init__(self) -> None:
        self._doing = ""

    def level(self, samples: NDArray[np.float32]) -> None:
        """Not shown."""

    def doing(self, what: Doing) -> None:
        if what != self._doing:
            self._doing = what
            print(f"[{what}]", flush=True)

    def heard_by(self, ears: Sequence[str]) -> None:
        print(f"[heard by {', '.join(ears)}]", flush=True)

    def show(self, value: str, reply: Reply) -> None:
        """The transcript has printed it."""


class Picture:
    """For a terminal: a picture at its foot; what is printed meanwhile scrolls by above it."""

    def __init__(self, live: Live, microphone: str) -> None:
        self._live = live
        self._microphone = microphone
        self._doing: Doing = "listening"
        self._peaks: list[float] = []
        self._value = ""
        self._reply = Reply("", "")

    def level(self, samples: NDArray[np.float32]) -> None:
        self._peaks.append(float(np.max(np.abs(samples), initial=0.0)))
        if len(self._peaks) >= _EVERY:
            self._draw()
            self._peaks.clear()

    def doing(self, what: Doing) -> None:
        if what != self._doing:
            self._doing = what
            self._draw()

    def heard_by(self, ears: Sequence[str]) -> None:
        """Not shown: who is at work looks at the value."""

    def show(self, value: str, reply: Reply) -> None:
        self._value, self._reply = value, reply
        self._draw()

    def _draw(self) -> None:
        self._live.update(
            picture(
                self._doing,
                self._microphone,
                max(self._peaks, default=0.0),
                self._value,
                self._reply,
            ),
            refresh=True,
        )


def picture(doing: Doing, microphone: str, peak: float, value: str, reply: Reply) -> RenderableType:
    """``peak`` is the greatest sample of late, of full scale."""
    style = _STYLES[reply.tone]
    head = Text.assemble(
        (f" {doing.upper()} ", "reverse bold"), "  ", meter(peak), f"  {printable(microphone)}"
    )
    head.no_wrap = True
    said = Text(f"{MARKS[reply.tone]} {printable(reply.shown)}" if reply.shown else "", style)
    rows = [Text("    " + row, style, no_wrap=True) for row in (big(value) if value else ())]
    return Group(Text(), head, Text(), *rows, *([Text()] if rows else []), said)


def meter(peak: float) -> Text:
    """The level as a bar, with a word where it is of no use."""
    if peak >= TOO_LOUD:
        return Text("█" * WIDTH + " too loud", "bold red")
    if peak == 0.0:
        return Text("░" * WIDTH + " no sound at all: muted?", "bold yellow")
    decibels = 20 * np.log10(peak)
    full = round(WIDTH * float(np.clip(1 - decibels / QUIETEST_DB, 0, 1)))
    return Text("█" * full + "░" * (WIDTH - full) + f" {decibels:4.0f} dB")


@contextmanager
def open_screen(microphone: str) -> Iterator[Screen]:
    """The screen that fits the output."""
    if not sys.stdout.isatty():
        yield Lines()
        return
    with Live(console=Console(highlight=False), auto_refresh=False, transient=True) as live:
        yield Picture(live, microphone)
