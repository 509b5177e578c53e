"""A shift in one session: what lies far back costs nothing and changes no verdict."""

from __future__ import annotations

from typing import Any

from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.lately import MOST_REPEATS, lately
from assistant.profile.schema import Profile


def test_a_short_session_is_left_as_it_is(bench: Any) -> None:
    for number in range(MOST_REPEATS):
        bench.read("guide_signal@front", str(number), "undocked")
    session = bench.session
    assert lately(session) is session


def test_the_last_repeats_of_each_label_in_each_context_stay_in_their_order(bench: Any) -> None:
    for number in range(3 * MOST_REPEATS):
        bench.read("guide_signal@front", str(number), "undocked")
        bench.read("guide_signal@rear", str(number), "undocked" if number else "docked")
    kept = lately(bench.session).readings
    front = [r.value for r in kept if r.position == "front"]
    assert front == [str(n) for n in range(2 * MOST_REPEATS, 3 * MOST_REPEATS)]
    assert sum(r.position == "rear" for r in kept) == MOST_REPEATS + 1
    assert [int(r.id) for r in kept] == sorted(int(r.id) for r in kept)


def test_every_shift_stays_since_it_says_where_later_signals_were_taken(bench: Any) -> None:
    for number in range(3 * MOST_REPEATS):
        bench.read("wire_shift", str(number), "undocked")
    assert len(lately(bench.session).readings) == 3 * MOST_REPEATS


def test_a_reading_that_is_asked_about_pushes_none_out_that_counts(bench: Any) -> None:
    bench.read("guide_signal@front", "20", "undocked")
    for _ in range(3 * MOST_REPEATS):
        bench.read("guide_signal@front", "120", "undocked", status="asked")
    assert [r.value for r in lately(bench.session).judged] == ["20"]


def test_a_release_counts_though_the_first_reading_after_the_repair_lies_far_back(
    bench: Any, profile: Profile
) -> None:
    bench.read("guide_signal@front", "120", "undocked", "after")
    bench.see("stop_button", "passes")
    for _ in range(3 * MOST_REPEATS):
        bench.read("guide_signal@front", "120", "undocked", "after")
    assert diagnose(bench.session, profile).release_missing == ()


def test_the_verdict_on_a_label_is_that_on_its_last_reading_however_many_there_were(
    bench: Any, profile: Profile
) -> None:
    for _ in range(40 * MOST_REPEATS):
        bench.read("guide_signal@front", "120", "undocked")
    bench.read("guide_signal@front", "20", "undocked")
    flagged = [f for f in diagnose(bench.session, profile).findings if f.flagged]
    assert [f.about for f in flagged] == [(str(bench.count),)]
