from __future__ import annotations

import threading

from assistant.live.keys import Keys


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
