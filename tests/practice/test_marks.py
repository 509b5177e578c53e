"""A perfect trainee loses nothing, classic mistakes lose what their rule says, guessing fails."""

from __future__ import annotations

from statistics import median

import pytest

from assistant.practice.exercise import Exercise
from assistant.practice.marks import PASS, RULES, SKILLS, Score
from assistant.practice.score_fault import SECTIONS
from assistant.practice.score_record import normal_here, score_record
from assistant.practice.wanted import Wanted
from assistant.profile import load_profile
from tests.practice.conftest import EXERCISES, LIBRARY, Typed, of_kind
from tests.practice.trainees import at_random, perfect, perfect_search, said, wanted_of

RANDOM_MOST = 40.0
"""Of 100, for who knows what can be said and nothing else."""


@pytest.mark.parametrize("exercise", LIBRARY.exercises, ids=lambda e: e.id)
def test_a_perfect_trainee_gets_full_marks(exercise: Exercise, typed: Typed) -> None:
    done = typed(exercise.id, perfect(exercise))
    assert done.score.lost == ()
    assert done.score.total == 100


@pytest.mark.parametrize("exercise", of_kind("listen", "dictate"), ids=lambda e: e.id)
def test_random_answers_stay_below_the_mark_that_passes(exercise: Exercise, typed: Typed) -> None:
    marks = [typed(exercise.id, at_random(exercise, seed)).score.total for seed in range(5)]
    assert max(marks) < RANDOM_MOST


def test_random_searches_pass_only_by_a_lucky_cause(typed: Typed) -> None:
    """One cause in fourteen is right by chance; the complaint may make it likely already."""
    marks, passed = [], 0
    for exercise in of_kind("find_fault"):
        hidden = EXERCISES[exercise.id].mower
        assert hidden is not None
        for seed in range(5):
            lines = list(at_random(exercise, seed))
            marks.append(typed(exercise.id, lines).score.total)
            lucky = lines[-1].removeprefix("cause ") in hidden.fault
            assert lucky or marks[-1] < PASS
            passed += marks[-1] >= PASS
    assert median(marks) < RANDOM_MOST
    assert passed <= len(marks) / 10


def test_every_rule_trains_a_skill_that_is_named() -> None:
    assert {rule.skill for rule in RULES.values()} == set(SKILLS)


def test_every_skill_is_trained_by_a_shipped_exercise() -> None:
    assert {skill for e in LIBRARY.exercises for skill in e.trains} == set(SKILLS)


def lost(score: Score) -> list[tuple[str, float]]:
    return [(one.rule, round(one.points, 6)) for one in score.lost]


# docked_is_different has four values in one stretch: a value is worth 50 / 4, the stretch 25.
DOCKED = ["docked", "guide front 102", "guide rear -65", "boundary front 136", "boundary rear -237"]
MISTAKES = {
    "a value left out": ([*DOCKED[:4], "done", "none"], [("missing", 12.5)]),
    "a wrong digit": ([*DOCKED[:4], "boundary rear -273", "done", "none"], [("value", 12.5)]),
    "a lost minus": ([*DOCKED[:4], "boundary rear 237", "done", "none"], [("sign", 12.5)]),
    "front and rear swapped": (
        [*DOCKED[:3], "boundary rear 136", "boundary front -237", "done", "none"],
        [("swapped", 12.5), ("swapped", 12.5)],
    ),
    "a value that isn't there": (
        [*DOCKED, "battery voltage 19", "done", "none"],
        [("invented", 12.5)],
    ),
    "a right number whose question was left open": (
        [*DOCKED[:4], "rear -237", "done", "none"],
        [("open", 6.25)],
    ),
    "a lost minus, the question left open": (
        [*DOCKED[:4], "rear 237", "done", "none"],
        [("sign", 12.5)],
    ),
    "undocked said, docked seen": (
        ["undocked", *DOCKED[1:], "done", "none"],
        [("wrong_context", 25.0)],
    ),
    "nothing said of where it stands": ([*DOCKED[1:], "done", "none"], [("unsaid_context", 12.5)]),
    "docked and negative taken for a fault": (
        [*DOCKED, "done", "guide rear"],
        [("normal_here", 25.0)],
    ),
    "a sound value called a fault": ([*DOCKED, "done", "guide front"], [("false_alarm", 10.0)]),
    "nothing recorded, and a verdict": (
        ["done", "none"],
        [("missing", 12.5)] * 4 + [("unsaid_context", 25.0), ("no_ground", 25.0)],
    ),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_classic_mistake_loses_what_its_rule_says(mistake: str, typed: Typed) -> None:
    lines, expected = MISTAKES[mistake]
    score = typed("docked_is_different", lines).score
    assert lost(score) == expected
    assert score.total == round(max(0.0, 100 - sum(points for _, points in expected)), 1)


def test_a_round_that_no_context_decides_has_no_marks_for_contexts() -> None:
    """The readings then count for both. Without a number nothing is normal in its context."""
    profile = load_profile()
    wanted = (
        Wanted("running_hours", None, "value", "12"),
        Wanted("travel_minutes", None, "no_reading", None),
    )
    score = score_record(
        wanted, [w.reading(str(n), profile) for n, w in enumerate(wanted)], (), profile
    )
    assert score.sections == {"readings": 75.0, "verdict": 25.0}
    assert score.total == 100
    assert normal_here(wanted[1], profile) == ""


def test_a_correction_by_voice_costs_nothing(typed: Typed) -> None:
    wrong_first = [*DOCKED[:4], "boundary rear -273", "correction, boundary rear -237"]
    assert typed("docked_is_different", [*wrong_first, "done", "none"]).score.total == 100


def test_the_verdict_is_shared_among_the_faults(typed: Typed) -> None:
    """Unit 7 reads both wires low in front: two pairs disagree, one was named."""
    lines = ["undocked"]
    lines += ["guide front 71, rear 98", "boundary front 142, rear 181", "quality 100", "done"]
    assert lost(typed("sides_apart", [*lines, "guide front"]).score) == [("overlooked", 12.5)]


def test_a_context_that_was_left_standing_costs_its_own_stretch_only(typed: Typed) -> None:
    """The mower was driven out, and "docked" was still in force."""
    first = ["docked", "guide front 118", "guide rear -58", "quality 100", "next"]
    second = ["guide front 121", "guide rear 116", "boundary front 164", "boundary rear 170"]
    done = typed("in_and_out", [*first, *second, "done", "none"])
    assert lost(done.score) == [("wrong_context", 12.5)]


def test_an_assistants_hint_is_not_given_before_the_verdict(typed: Typed) -> None:
    lines = [*DOCKED, "why", "likely causes", "what next", "done", "none"]
    assert typed("docked_is_different", lines).score.total == 100


def searched(name: str, *extra: str) -> list[str]:
    """The perfect search with more lines before the cause is named."""
    *lines, cause = perfect_search(EXERCISES[name], load_profile())
    return [*lines, *extra, cause]


def test_reading_docked_what_is_recorded_as_undocked_costs_the_stretch(typed: Typed) -> None:
    lines = ["undocked", "check guide_signals"]
    done = typed("fault_contacts", [*lines, *searched("fault_contacts")[1:]])
    assert ("wrong_context", SECTIONS["context"]) in lost(done.score)


def test_a_trap_named_as_cause_loses_the_contexts_beside_the_cause(typed: Typed) -> None:
    lines = [*searched("fault_crooked_wire")[:-1], "cause rear_sensor and guide_wire_out_of_line"]
    rules = dict(lost(typed("fault_crooked_wire", lines).score))
    assert rules["wrong_cause"] == SECTIONS["cause"]
    assert rules["normal_here"] == SECTIONS["context"]


def test_a_hint_costs_its_five_marks(typed: Typed) -> None:
    assert lost(typed("fault_contacts", searched("fault_contacts", "what next")).score) == [
        ("hint", 5.0)
    ]


def test_minutes_beyond_ten_more_than_the_best_cost_three_for_each_five_begun(
    typed: Typed,
) -> None:
    """The splices (20 minutes) and the neighbour (12) tell nothing here: 32 minutes more, 22 of
    them not free, five fives begun."""
    extra = ("check splices_look", "check neighbour_off")
    score = typed("fault_contacts", searched("fault_contacts", *extra)).score
    assert lost(score) == [("poor_check", 5.0), ("poor_check", 5.0), ("slow", 15.0)]


def test_a_right_guess_without_measuring_does_not_pass(typed: Typed) -> None:
    score = typed("fault_contacts", ["cause worn charging contacts"]).score
    assert score.total == SECTIONS["cause"] < PASS


def test_one_of_two_faults_is_half_the_cause(typed: Typed) -> None:
    *lines, _ = searched("fault_two_at_once")
    score = typed("fault_two_at_once", [*lines, "cause worn_contacts"]).score
    assert lost(score) == [("missed_cause", SECTIONS["cause"] / 2)]


def test_a_value_said_twice_is_not_invented(typed: Typed) -> None:
    assert typed("docked_is_different", [*DOCKED, DOCKED[1], "done", "none"]).score.total == 100


def test_the_sound_of_a_lost_value_can_be_heard_again(typed: Typed) -> None:
    """The words of unit 31's rear boundary value lie between 12.2 and 14.6 s of the recording."""
    exercise = EXERCISES["listen_docked"]
    lines = [
        line for line in perfect(exercise) if "boundary rear" not in line.replace("signal ", "")
    ]
    [one] = typed("listen_docked", lines).score.lost
    assert one.rule == "missing"
    assert one.sound is not None
    assert one.sound.path.name == "1_docked.wav"
    assert 12.0 < one.sound.start < one.sound.end < 15.5
    assert "minus two hundred and thirty seven" in one.reason


def test_no_exercise_shows_the_words_of_its_context() -> None:
    from assistant.practice.scene_drawing import scene_lines
    from assistant.practice.scene_picture import scene_svg
    from assistant.profile import load_profile

    for exercise in LIBRARY.exercises:
        profile = load_profile(exercise.profile)
        for scene in exercise.scene:
            shown = " ".join([*scene_lines(scene, profile), scene_svg(scene, profile)]).lower()
            values = [v for c in profile.context for v in c.value if scene.where.get(c.id) == v.id]
            assert len(values) == len(scene.where)
            for words in (words for value in values for words in value.spoken):
                assert words not in shown, exercise.id


def test_every_wanted_value_can_be_said_as_it_is_written(typed: Typed) -> None:
    from assistant.profile import load_profile, load_spoken
    from assistant.wording.parser import Parser
    from assistant.wording.statement import ReadingSaid

    for exercise in LIBRARY.exercises:
        profile = load_profile(exercise.profile)
        parser = Parser(profile, load_spoken())
        for one in wanted_of(exercise) if exercise.kind != "find_fault" else ():
            [statement] = parser.parse_text(said(one, profile))
            assert isinstance(statement, ReadingSaid)
            assert (statement.quantity, statement.position) == one.label
            assert statement.value.number == one.value
