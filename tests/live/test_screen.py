from __future__ import annotations

import io
import sys

import numpy as np
import pytest
from rich.console import Console

from assistant.audio.microphone import BLOCK
from assistant.live.screen import Lines, meter, open_screen, picture
from assistant.speaking.reply import Reply


def drawn(**given: object) -> str:
    settings = {
        "doing": "listening",
        "microphone": "Headset",
        "peak": 0.1,
        "value": "",
        "reply": Reply("", ""),
    } | given
    console = Console(file=io.StringIO(), width=100)
    console.print(picture(**settings))  # type: ignore[arg-type]
    output = console.file
    assert isinstance(output, io.StringIO)
    return output.getvalue()


def test_the_picture_tells_what_it_does_and_which_microphone_it_hears() -> None:
    assert "LISTENING" in drawn()
    assert "Headset" in drawn()


def test_the_last_value_stands_there_in_big_figures_with_its_mark() -> None:
    shown = drawn(value="-65", reply=Reply("guide signal rear −65", "", "accepted"))
    assert shown.count("█  █") >= 2
    assert "✓ guide signal rear −65" in shown


def test_asked_and_out_are_marked_without_colour() -> None:
    assert "? say" in drawn(reply=Reply("say", "", "asked"))
    assert "! far" in drawn(reply=Reply("far", "", "out"))


def test_a_word_heard_can_not_steer_the_terminal() -> None:
    assert "\x1b" not in drawn(reply=Reply("\x1b[2J[red]boo", "", "asked"))
    assert "[red]" in drawn(reply=Reply("[red]boo", "", "asked"))


@pytest.mark.parametrize(
    ("peak", "says"), [(0.0, "muted?"), (1.0, "too loud"), (0.1, "-20 dB"), (0.001, "-60 dB")]
)
def test_the_meter_says_in_words_where_the_level_is_of_no_use(peak: float, says: str) -> None:
    assert says in meter(peak).plain


def test_the_meter_grows_with_the_level() -> None:
    full = [meter(peak).plain.count("█") for peak in (0.001, 0.01, 0.1, 0.5)]
    assert full == sorted(set(full))


def test_without_a_terminal_each_change_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    with open_screen("") as screen:
        assert isinstance(screen, Lines)
        for what in ("listening", "listening", "speaking"):
            screen.doing(what)  # type: ignore[arg-type]
    assert capsys.readouterr().out == "[listening]\n[speaking]\n"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_on_a_terminal_the_picture_changes_with_level_deed_and_value(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stdout", terminal)
    monkeypatch.setenv("TERM", "xterm")

    def since() -> str:
        new = terminal.getvalue()
        terminal.seek(0)
        terminal.truncate()
        return new

    with open_screen("Headset") as screen:
        for _ in range(4):
            screen.level(np.full(BLOCK, 0.1, np.float32))
        assert "-20 dB" in since()
        screen.doing("hearing")
        assert "HEARING" in since()
        screen.doing("hearing")
        screen.heard_by(["own", "whisper"])
        assert not since(), "nothing has changed that is shown"
        screen.show("-65", Reply("guide signal rear −65", "", "accepted"))
        told = since()
    assert "✓ guide signal rear −65" in told
    assert "█  █" in told


def test_without_a_terminal_the_ears_that_heard_are_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_screen("") as screen:
        screen.level(np.zeros(BLOCK, np.float32))
        screen.heard_by(["own", "letters"])
        screen.show("102", Reply("guide signal front 102", "", "accepted"))
    assert capsys.readouterr().out == "[heard by own, letters]\n"
