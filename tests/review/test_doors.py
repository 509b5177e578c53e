"""Visitors, tries and the drawing made fit for the policy: each alone, with a clock of its own."""

from __future__ import annotations

from assistant.review.strict_svg import strict
from assistant.review.tries import FREE, WAIT, Tries
from assistant.review.tries import MOST as MOST_NAMES
from assistant.review.visitors import IDLE, MOST, WHOLE_SHIFT, Visitors


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_a_visitor_is_known_until_idle_or_the_shift_is_over() -> None:
    clock = Clock()
    visitors = Visitors(clock)
    idle, busy = visitors.let_in(), visitors.let_in("MB")
    clock.now += IDLE - 1
    assert visitors.seen(busy.key) is busy
    clock.now += 2
    assert visitors.seen(idle.key) is None
    assert visitors.seen(busy.key) is busy
    while clock.now < 1000 + WHOLE_SHIFT:
        clock.now += IDLE / 2
        visitors.seen(busy.key)
    clock.now += 1
    assert visitors.seen(busy.key) is None


def test_keys_are_never_alike_and_a_flood_leaves_room() -> None:
    visitors = Visitors(Clock())
    keys = {visitors.let_in().key for _ in range(MOST + 10)}
    assert len(keys) == MOST + 10
    assert sum(visitors.seen(key) is not None for key in keys) == MOST
    assert visitors.seen("") is None


def test_wrong_tries_of_one_name_make_it_wait_and_no_other() -> None:
    clock = Clock()
    tries = Tries(clock)
    for _ in range(FREE):
        assert tries.wait("MB") == 0
        tries.wrong("MB")
    assert tries.wait("MB") == WAIT
    assert tries.wait("RT") == 0
    clock.now += WAIT
    assert tries.wait("MB") == 0
    tries.wrong("MB")
    assert tries.wait("MB") == 0
    tries.right("MB")
    assert tries.wait("MB") == 0


def test_a_flood_of_wrong_names_is_forgotten_once_its_wait_is_over() -> None:
    clock = Clock()
    tries = Tries(clock)
    for number in range(MOST_NAMES):
        tries.wrong(f"name {number}")
    clock.now += WAIT + 1
    tries.wrong("MB")
    assert len(tries._wrong) == 1


def test_a_drawing_keeps_its_looks_without_inline_style() -> None:
    drawn = (
        '<svg viewBox="0 0 1 1"><style type="text/css">*{x:y}</style>'
        '<text style="font-size: 11px; text-anchor: start">a: b; c</text></svg>'
    )
    assert strict(drawn) == (
        '<svg class="drawn" viewBox="0 0 1 1">'
        '<text font-size="11px" text-anchor="start">a: b; c</text></svg>'
    )
