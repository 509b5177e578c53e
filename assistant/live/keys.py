"""Keys of the terminal as they are pressed; a pedal that types a key is one too."""

from __future__ import annotations

import contextlib
import queue
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Keys:
    """``pressed`` gives the keys since it was last asked, never waiting. Where standard input is
    no terminal its characters count as keys."""

    def __init__(self) -> None:
        self._keys: queue.SimpleQueue[str] = queue.SimpleQueue()

    def pressed(self) -> list[str]:
        found = []
        while not self._keys.empty():
            found.append(self._keys.get())
        return found

    def read(self, next_key: Callable[[], str]) -> None:
        """Takes keys until there is none any more, or the terminal is gone; on a thread of its
        own."""

        def run() -> None:
            with contextlib.suppress(ValueError, OSError):  # closed meanwhile, or hung up
                while key := next_key():
                    self._keys.put(key)

        threading.Thread(target=run, daemon=True).start()


@contextmanager
def open_keys() -> Iterator[Keys]:
    """Keys without Enter, and not shown; the terminal is as before at the end."""
    keys = Keys()
    if sys.platform == "win32":
        import msvcrt

        keys.read(msvcrt.getwch)
        yield keys
        return
    if not sys.stdin.isatty():
        keys.read(lambda: sys.stdin.read(1))
        yield keys
        return
    import termios
    import tty

    before = termios.tcgetattr(sys.stdin)
    try:
        tty.setcbreak(sys.stdin)
        keys.read(lambda: sys.stdin.read(1))
        yield keys
    finally:
        with contextlib.suppress(termios.error):
            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, before)
