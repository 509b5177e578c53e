"""What went wrong comes back soon, what went well later, and never the same exercise at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from assistant.practice.log import Practised
from assistant.practice.progress import repeated, weeks
from assistant.practice.progress_lines import progress_lines
from assistant.practice.progress_picture import progress_picture
from assistant.practice.schedule import cards, choose
from tests.practice.conftest import EXERCISES, LIBRARY, Days


def done(
    days: Days,
    name: str,
    marks: float = 100.0,
    pairs: tuple[tuple[str, str, str], ...] = (),
    **skills: float,
) -> Practised:
    e = EXERCISES[name]
    cost = {**dict.fromkeys(e.trains, 0.0), **skills}
    return Practised(days.now, "A. B.", name, e.kind, e.level, marks, cost, pairs=pairs)


def test_a_skill_that_cost_marks_is_due_before_one_that_did_not(days: Days) -> None:
    due = cards([done(days, "first_minute", values=25.0)])
    assert due["values"].due < due["context"].due


def test_a_skill_that_goes_well_is_due_later_each_time(days: Days) -> None:
    log, gaps = [], []
    for _ in range(5):
        log.append(done(days, "first_minute"))
        gaps.append(cards(log)["values"].due - days.now)
        days.later(seconds=gaps[-1].total_seconds() + 60)
    assert gaps == sorted(gaps)
    assert gaps[-1] > timedelta(days=7)


def test_the_first_choice_is_of_the_first_level(days: Days) -> None:
    choice = choose(LIBRARY.exercises, [], days.now)
    assert choice.exercise.level == 1
    assert choice.why == "not passed yet"


def test_what_went_wrong_comes_back_in_another_exercise(days: Days) -> None:
    log = [done(days, "docked_is_different", 50.0, normal_here=25.0)]
    days.later(minutes=30)
    choice = choose(LIBRARY.exercises, log, days.now)
    assert choice.exercise.id != "docked_is_different"
    assert "normal_here" in choice.exercise.trains


def test_what_comes_back_is_of_a_level_that_was_reached(days: Days) -> None:
    log = [done(days, "first_minute", 40.0, values=40.0)]
    days.later(minutes=30)
    assert choose(LIBRARY.exercises, log, days.now).exercise.level == 1


def test_without_anything_due_the_next_unpassed_exercise_is_chosen(days: Days) -> None:
    log = [done(days, e.id) for e in LIBRARY.exercises if e.level == 1]
    assert choose(LIBRARY.exercises, log, days.now).exercise.level == 2


def test_when_all_is_passed_the_one_longest_ago_is_chosen(days: Days) -> None:
    log = []
    for e in LIBRARY.exercises:
        log.append(done(days, e.id))
        days.later(seconds=1)
    assert choose(LIBRARY.exercises, log, days.now).exercise == LIBRARY.exercises[0]


def test_weeks_begin_on_monday_and_hold_their_mean(days: Days) -> None:
    """2 March 2026 is a Monday."""
    log = [done(days, "first_minute", 50.0)]
    days.later(days=6, hours=10)
    log.append(done(days, "first_minute", 80.0))
    days.later(days=1)
    log.append(done(days, "first_minute", 90.0))
    first, second = weeks(log)
    assert (str(first.begins), first.count, first.marks, first.passed) == ("2026-03-02", 2, 65.0, 1)
    assert (str(second.begins), second.marks) == ("2026-03-09", 90.0)


def test_repeated_readings_are_studied_against_the_reference(days: Days) -> None:
    """By hand: 10.1 and 10.3 beside 10 and 10. Within: sqrt((0.02 + 0) / 2) = 0.1. Means differ
    by 0.2, their deviation is 0.2/sqrt(2); 0.02 less 0.1²/2 leaves sqrt(0.015) = 0.1225."""
    log = [done(days, "first_minute", pairs=(("tilt", "10", got),)) for got in ("10.1", "10.3")]
    [row] = repeated(log)
    assert row.times == 2
    assert row.bias == pytest.approx(0.2)
    assert row.gauge.repeatability == pytest.approx(0.1)
    assert row.gauge.between_technicians == pytest.approx(0.122474, abs=1e-6)


def test_what_was_read_once_is_not_studied(days: Days) -> None:
    assert repeated([done(days, "first_minute", pairs=(("tilt", "1", "1"),))]) == ()


def test_progress_is_drawn_and_told_in_words(days: Days) -> None:
    log = [done(days, "first_minute", 50.0, values=50.0), done(days, "fault_contacts", 80.0)]
    svg = progress_picture(log, "Marks")
    assert svg.startswith("<svg")
    assert "<title>Marks</title>" in svg
    lines = "\n".join(progress_lines(log, days.now))
    assert "2026-03-02" in lines
    assert "getting numbers right" in lines


@pytest.mark.parametrize(
    ("minutes", "told"),
    [
        (18.0, "1 exercise, 1 passed, 80 % more minutes than the best order"),
        (5.0, "1 exercise, 1 passed, 50 % fewer minutes than the best order"),
    ],
)
def test_a_week_tells_its_minutes_against_the_best_order(
    days: Days, minutes: float, told: str
) -> None:
    one = replace(done(days, "fault_contacts", 80.0), minutes=minutes, best_minutes=10.0)
    assert next(line for line in progress_lines([one], days.now) if "█" in line).endswith(told)


def test_what_scatters_when_it_is_read_again_is_told_with_its_bias(days: Days) -> None:
    """Read 97 and 95 where 98 stood: the mean is 2 below."""
    log = [done(days, "first_minute", pairs=(("rear", "98", got),)) for got in ("97", "95")]
    assert "first_minute: rear, 2 times" in "\n".join(progress_lines(log, days.now))
    assert list(progress_lines(log, days.now))[-1].endswith("bias −2.0")


def test_nothing_practised_is_no_picture(days: Days) -> None:
    assert progress_picture([], "Marks") == ""
    assert "Nothing was practised" in next(progress_lines([], days.now))
