from __future__ import annotations

import io
import os
import sys
import threading
from collections.abc import Iterator

import pytest

from assistant.live.keys import Keys, open_keys


def test_keys_come_in_order_and_each_once() -> None:
    keys, typed, ended = Keys(), iter(["a", " ", "b"]), threading.Event()

    def next_key() -> str:
        key = next(typed, "")
        if not key:
            ended.set()
        return key

    keys.read(next_key)
    assert ended.wait(60)
    assert keys.pressed() == ["a", " ", "b"]
    assert keys.pressed() == []


@pytest.mark.parametrize("error", [ValueError("I/O operation on closed file"), OSError(5, "gone")])
def test_a_terminal_that_goes_away_has_no_more_keys(
    error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed, unhandled = iter(["a"]), []
    monkeypatch.setattr(threading, "excepthook", unhandled.append)

    def next_key() -> str:
        for key in typed:
            return key
        raise error

    before = set(threading.enumerate())
    keys = Keys()
    keys.read(next_key)
    for thread in set(threading.enumerate()) - before:
        thread.join(60)
    assert keys.pressed() == ["a"]
    assert unhandled == []


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """The far end of a terminal that is standard input here."""
    far, near = os.openpty()
    with os.fdopen(near) as keyboard:
        monkeypatch.setattr(sys, "stdin", keyboard)
        yield far
        os.write(far, b"\n\x04")  # ends the read that has begun, then the next
    os.close(far)


def test_a_key_of_a_terminal_counts_without_enter_and_is_not_shown(terminal: int) -> None:
    import termios

    before = termios.tcgetattr(sys.stdin)
    with open_keys() as keys:
        os.write(terminal, b" ")
        assert keys._keys.get(timeout=60) == " "
        assert not termios.tcgetattr(sys.stdin)[3] & (termios.ECHO | termios.ICANON)
    assert termios.tcgetattr(sys.stdin) == before


def test_without_a_terminal_what_comes_in_counts_as_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("ab"))
    with open_keys() as keys:
        assert [keys._keys.get(timeout=60) for _ in "ab"] == ["a", "b"]
