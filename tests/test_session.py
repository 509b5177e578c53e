"""The assistant at the bench, driven by typed lines: the whole way but for the sound."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.utterance import RATE, Utterance
from assistant.hearing.heard import EarHearing, HeardWord, Hypothesis
from assistant.obey import obey
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile, load_spoken
from assistant.record.session import Reading
from assistant.record.store import Store
from assistant.session import Assistant
from assistant.turn import Turn
from assistant.wording.statement import CommandSaid


@pytest.fixture
def assistant(tmp_path: Path) -> Iterator[Assistant]:
    made = open_assistant(Store(tmp_path), load_profile())
    yield made
    made.close()


def say(assistant: Assistant, *lines: str) -> Turn:
    turn = Turn()
    for line in lines:
        turn = assistant.type(line)
    return turn


def told(assistant: Assistant) -> list[tuple[str, str | None, str | None]]:
    return [(r.quantity, r.position, r.value) for r in assistant.session.readings]


def shown(turn: Turn) -> str:
    return "\n".join(reply.shown for reply in turn.replies)


def test_a_line_becomes_a_checked_said_back_and_stored_reading(assistant: Assistant) -> None:
    turn = say(assistant, "undocked guide front ninety rear seventy five")
    assert told(assistant) == [("guide_signal", "front", "90"), ("guide_signal", "rear", "75")]
    assert [f.rule for f in turn.findings if f.verdict == "suspect"] == ["pair_guide_signal"]
    assert "guide signal rear 75" in shown(turn)
    assert turn.replies[-1].tone == "out"


def test_a_context_said_later_completes_all_readings_that_wait_for_it(
    assistant: Assistant,
) -> None:
    say(assistant, "front one oh two", "rear minus sixty five", "docked")
    assert [r.missing for r in assistant.session.readings] == [("wire",), ("wire",)]
    say(assistant, "guide")
    assert told(assistant) == [("guide_signal", "front", "102"), ("guide_signal", "rear", "-65")]
    assert not assistant.session.open_questions


def test_a_context_said_after_something_else_answers_no_old_question(
    assistant: Assistant,
) -> None:
    say(assistant, "guide front one oh two", "battery voltage eighteen", "undocked")
    [front] = [r for r in assistant.session.readings if r.position == "front"]
    assert front.missing == ("station",)
    assert assistant.session.open_questions == (front,)


def test_what_lacks_its_context_is_in_no_finding(assistant: Assistant) -> None:
    say(assistant, "guide front twelve")
    assert all("12" not in f.reason for f in assistant.diagnosis.findings)


def test_a_correction_replaces_and_the_old_value_stays_in_the_record(
    assistant: Assistant,
) -> None:
    turn = say(assistant, "undocked", "guide front one oh two", "correction front one twenty")
    assert told(assistant) == [("guide_signal", "front", "120")]
    [old] = assistant.session.superseded
    assert isinstance(old, Reading)
    assert old.value == "102"
    assert "was 102" in shown(turn)


def test_correcting_a_context_names_the_readings_it_touches(assistant: Assistant) -> None:
    turn = say(assistant, "docked", "guide front ninety eight", "correction undocked")
    assert assistant.session.readings[0].context == {"station": "undocked"}
    assert "guide signal front 98" in shown(turn)


def test_disregard_withdraws_the_last_reading_or_that_of_a_label(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front ninety", "guide rear ninety one", "disregard front")
    assert told(assistant) == [("guide_signal", "rear", "91")]
    say(assistant, "disregard")
    assert told(assistant) == []


def test_disregard_withdraws_what_was_seen_and_leaves_the_readings(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front ninety", "blade screws loose", "edge stop passes")
    turn = say(assistant, "disregard blade screws")
    assert "withdrawn: blade screws: loose" in shown(turn)
    assert told(assistant) == [("guide_signal", "front", "90")]
    assert [o.item for o in assistant.session.observations] == ["boundary_stop"]
    for other in ("disregard battery", "disregard edge stop fails"):
        assert "no such entry to withdraw" in shown(say(assistant, other))
    assert "withdrawn: turns at the boundary: passes" in shown(
        say(assistant, "disregard edge stop passes")
    )
    say(assistant, "blade screws loose", "disregard")
    assert assistant.session.observations == ()
    assert told(assistant) == [("guide_signal", "front", "90")]


def test_what_is_said_after_disregard_is_never_taken_for_something_new(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked", "guide front ninety", "disregard blade screws worn")
    assert told(assistant) == [("guide_signal", "front", "90")]
    assert assistant.session.observations == ()


def test_what_was_seen_is_read_back_beside_the_readings_in_the_order_said(
    assistant: Assistant,
) -> None:
    assert shown(say(assistant, "read back all")) == "no such entry yet"
    say(
        assistant, "removed serial four seven bravo", "undocked guide front ninety", "homing misses"
    )
    replies = say(assistant, "read back all").replies
    assert [reply.shown for reply in replies] == [
        "serial of the part taken out: 47B",
        "guide signal front 90, undocked",
        "homing: misses",
    ]
    assert replies[0].spoken == "serial of the part taken out, four seven bravo"
    assert shown(say(assistant, "read back homing")) == "homing: misses"


@pytest.mark.parametrize(
    ("line", "told"), [("correction", "say label and value"), ("note", "say note, then your words")]
)
def test_a_command_without_what_it_takes_is_told_what_to_say(
    assistant: Assistant, line: str, told: str
) -> None:
    [reply] = say(assistant, line).replies
    assert told in reply.spoken
    assert reply.tone == "asked"


def test_every_voice_command_is_obeyed(assistant: Assistant) -> None:
    for command in load_spoken().command:
        assert obey(CommandSaid((), command.id, "safety_release"), assistant), command.id


def test_a_reading_waits_while_its_answer_is_only_asked_back(assistant: Assistant) -> None:
    turn = say(assistant, "guide front one oh two", "undockt", "not docked")
    assert [r.tone for r in turn.replies] == ["asked"]
    say(assistant, "undocked")
    assert assistant.session.readings[0].context == {"station": "undocked"}


def test_a_context_of_the_same_breath_is_no_answer_to_what_is_asked_about_it(
    assistant: Assistant,
) -> None:
    """A reading before the first of two contexts may belong to either."""
    say(assistant, "guide front one oh two docked undocked")
    assert assistant.session.readings[0].missing == ("station",)
    say(assistant, "docked")
    assert assistant.session.readings[0].context == {"station": "docked"}


def test_what_waits_for_a_context_is_not_answered_by_one_after_the_mower_was_moved(
    assistant: Assistant,
) -> None:
    say(assistant, "guide front one oh two, mower moved, undocked", "docked")
    assert assistant.session.readings[0].missing == ("station",)


def test_what_is_missing_asks_once_more_and_takes_the_answer(assistant: Assistant) -> None:
    say(assistant, "guide front one oh two", "battery voltage nineteen", "front ninety one")
    say(assistant, "homing misses")
    replies = say(assistant, "what is missing").replies
    assert [reply.shown for reply in replies] == [
        "loop signal front 91: guide or boundary?; docked or undocked?",
        "guide signal front 102: docked or undocked?",
    ]
    say(assistant, "undocked")
    [still_open] = assistant.session.open_questions
    assert still_open.quantity == "loop_signal"


def test_of_what_ends_when_the_mower_is_moved_only_what_was_known_is_told(
    assistant: Assistant,
) -> None:
    assert len(say(assistant, "mower moved").replies) == 1
    assert "station" in shown(say(assistant, "undocked", "mower moved"))
    say(assistant, "undocked", "loaded")
    assert len(say(assistant, "mower moved").replies) == 2


def test_closing_names_what_is_flagged_and_what_is_still_to_do(assistant: Assistant) -> None:
    say(assistant, "start round safety release", "passes", "fails")
    told_at_close = shown(say(assistant, "close job"))
    assert "not ready for use, flagged: lift sensor fails; still to do: tilt" in told_at_close


def test_moving_the_mower_ends_the_station_context(assistant: Assistant) -> None:
    say(assistant, "undocked", "mower moved", "guide front ninety")
    assert assistant.session.readings[0].missing == ("station",)


def test_an_implausible_value_is_asked_and_affirm_settles_it(assistant: Assistant) -> None:
    turn = say(assistant, "battery voltage ninety nine")
    assert assistant.session.readings[0].status == "asked"
    assert turn.replies[0].tone == "asked"
    say(assistant, "affirm")
    assert [r.status for r in assistant.session.readings] == ["accepted"]


def test_the_answer_to_a_question_may_be_the_number_alone(assistant: Assistant) -> None:
    say(assistant, "battery voltage ninety nine", "negative", "nineteen point nine")
    assert told(assistant) == [("battery_voltage", None, "19.9")]


def test_an_unanswered_question_is_listed_at_the_end(assistant: Assistant) -> None:
    turn = say(assistant, "battery voltage ninety nine", "undocked", "close job")
    assert "battery voltage 99" in shown(turn)
    assert "closed, head" in shown(turn)
    assert assistant.session.closed


def test_what_is_said_after_a_job_was_closed_opens_another_of_the_same_unit(
    assistant: Assistant,
) -> None:
    say(assistant, "unit one four", "undocked", "guide front ninety", "close job")
    head = assistant.record.head
    say(assistant, "battery voltage eighteen point two")
    assert told(assistant) == [("battery_voltage", None, "18.2")]
    assert [job.record.session.unit for job in assistant.jobs] == ["14", "14"]
    assert assistant.jobs[0].record.head == head
    assert not assistant.session.closed


def test_another_unit_is_another_job_and_coming_back_finds_everything(
    assistant: Assistant,
) -> None:
    say(assistant, "unit one four", "undocked", "guide front ninety eight")
    say(assistant, "unit two three", "battery voltage eighteen point two")
    assert told(assistant) == [("battery_voltage", None, "18.2")]
    turn = say(assistant, "back to unit one four")
    assert told(assistant) == [("guide_signal", "front", "98")]
    assert "1 reading" in shown(turn)
    assert [job.record.session.unit for job in assistant.jobs] == ["14", "23"]


def test_standing_by_nothing_is_taken_down_until_go_ahead(assistant: Assistant) -> None:
    say(assistant, "undocked", "stand by", "guide front ninety", "go ahead", "guide rear ninety")
    assert told(assistant) == [("guide_signal", "rear", "90")]


def test_say_again_repeats_the_last_reply(assistant: Assistant) -> None:
    first = say(assistant, "undocked", "guide front ninety eight")
    assert shown(say(assistant, "say again")) == shown(first)
    assert shown(say(assistant, "say again")) == shown(first)


def test_what_next_and_why_answer_from_the_readings(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front forty", "guide rear forty one")
    assert shown(say(assistant, "what next"))
    assert "41" in shown(say(assistant, "why"))


def test_likely_causes_is_a_ranking_that_is_soon_said_and_why_gives_the_reasons(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked", "guide front ninety", "guide rear seventy five", "homing misses")
    ranking = say(assistant, "likely causes").replies
    assert len(ranking) == 3
    assert "caution" in ranking[0].shown
    assert "Because" not in "".join(reply.shown for reply in ranking)
    assert sum(len(reply.spoken.split()) for reply in ranking) < 80
    assert "Because" in shown(say(assistant, "why"))


def test_before_anything_speaks_for_a_cause_none_is_named(assistant: Assistant) -> None:
    assert shown(say(assistant, "likely causes")) == "no cause stands out yet: say what next"
    assert "likely cause" in shown(say(assistant, "homing misses", "likely causes"))


def test_compare_keeps_to_the_label_that_was_named(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front ninety", "guide rear seventy five", "homing misses")
    assert "yet" in shown(say(assistant, "compare guide"))
    say(assistant, "after repair, undocked, guide front one oh two, rear ninety eight")
    assert len(say(assistant, "compare before and after").replies) == 2
    [gone] = say(assistant, "compare guide").replies
    assert gone.shown.startswith("gone: guide signal")
    [open_still] = say(assistant, "compare homing").replies
    assert "homing: misses" in open_still.shown
    [neither] = say(assistant, "compare battery").replies
    assert neither.shown == "nothing was wrong with that before the repair"


def test_why_speaks_of_what_was_said_last(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front forty", "miss side always left", "station tilt nine")
    assert "station tilt 9" in shown(say(assistant, "why"))
    say(assistant, "guide rear forty one")
    assert "41" in shown(say(assistant, "why"))


def test_a_job_closes_as_proven_only_when_all_that_was_flagged_is_gone(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked", "guide front forty", "guide rear forty one", "homing misses")
    say(assistant, "after the repair", "guide front one oh one", "guide rear one oh one")
    told_at_close = shown(say(assistant, "close job"))
    assert (
        "repair not proven: Take again, after repair, in the same context: homing." in told_at_close
    )
    assert "not ready for use" in told_at_close


def test_a_proven_job_is_not_ready_for_use_before_its_safety_release(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked", "guide front forty", "guide rear forty one", "homing misses")
    say(assistant, "after the repair", "undocked", "guide front one oh one")
    say(assistant, "guide rear one oh one", "homing works")
    assert assistant.diagnosis.proven
    assert not assistant.diagnosis.ready_for_use
    say(assistant, "start round safety release", *["passes"] * 7)
    told_at_close = shown(say(assistant, "close job"))
    assert "repair proven" in told_at_close
    assert "ready for use: safety release done" in told_at_close


def test_measured_again_in_another_context_proves_nothing(assistant: Assistant) -> None:
    say(assistant, "undocked", "guide front forty", "guide rear forty one")
    say(assistant, "after the repair", "docked", "guide front one oh one", "guide rear minus sixty")
    assert not assistant.diagnosis.proven
    assert {proof.outcome for proof in assistant.diagnosis.repairs} == {"not_measured"}


def test_a_guided_round_takes_bare_numbers_and_bare_choices(assistant: Assistant) -> None:
    turn = say(assistant, "start round safety release")
    assert "Caution" in turn.replies[0].shown
    say(assistant, "passes", "passes", "passes", "passes", "passes", "passes", "passes")
    assert len(assistant.session.observations) == 7
    assert assistant.diagnosis.ready_for_use
    turn = say(assistant, "start round station", "one point five")
    assert ("station_tilt", None, "1.5") in told(assistant)
    turn = say(assistant, "skip this", "end round")
    assert "Not taken" in shown(turn)
    turn = say(assistant, "start round safety release", "skip this", "passes", "end round")
    assert "Not taken: Guards; Tipping stop; Stop button;" in shown(turn)


@pytest.mark.parametrize("line", ["skip this", "end round"])
def test_without_a_round_there_is_nothing_to_skip_or_end(assistant: Assistant, line: str) -> None:
    assert shown(say(assistant, line)) == "no round is under way"


def test_a_round_is_done_when_its_last_step_is_and_a_number_belongs_to_nothing_then(
    assistant: Assistant,
) -> None:
    turn = say(assistant, "start round safety release", *["passes"] * 7)
    assert turn.replies[-1].shown == "Safety release round done."
    assert "without a label" in shown(say(assistant, "one oh two"))
    assert "no round is under way" in shown(say(assistant, "skip this"))


def test_disregard_takes_back_the_question_too(assistant: Assistant) -> None:
    say(assistant, "battery voltage ninety nine", "disregard")
    assert shown(say(assistant, "affirm")) == "nothing is asked"
    assert told(assistant) == []


def test_a_correction_of_a_context_goes_back_to_where_the_wrong_one_was_said(
    assistant: Assistant,
) -> None:
    say(assistant, "docked", "guide front ninety", "mower moved", "station tilt one")
    say(assistant, "docked", "guide rear minus forty", "boundary rear minus fifty")
    say(assistant, "correction undocked")
    contexts = [reading.context.get("station") for reading in assistant.session.readings]
    assert contexts == ["docked", None, "undocked", "undocked"]


def test_what_next_gives_the_remedy_once_the_cause_is_sure_and_its_caution_first(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked, guide front forty, rear forty one", "miss side always left")
    say(
        assistant,
        "homing misses",
        "guide path crooked",
        "boundary front one eighty, rear one eighty",
    )
    [reply] = say(assistant, "what next").replies
    assert reply.shown.startswith("caution: Isolate the supply")
    assert "Lay the guide wire straight" in reply.shown


def test_at_close_what_remains_and_what_is_new_since_the_repair_is_told(
    assistant: Assistant,
) -> None:
    say(assistant, "undocked, guide front forty, rear forty one")
    say(assistant, "after repair, undocked, guide front fifty, rear fifty one")
    told_at_close = shown(say(assistant, "close job"))
    assert "repair not proven: remains: guide signal front 50" in told_at_close
    assert "flagged: guide signal front 50, guide signal rear 51;" in told_at_close
    say(assistant, "unit two", "undocked, guide front forty, rear forty one")
    say(assistant, "after repair, undocked, guide front one hundred, rear one hundred")
    say(assistant, "boundary resistance off scale")
    told_at_close = shown(say(assistant, "close job"))
    assert "repair not proven: something new is flagged since the repair" in told_at_close
    assert "flagged: boundary resistance off scale;" in told_at_close


def test_with_typed_lines_alone_there_is_nothing_to_hear_with(assistant: Assistant) -> None:
    silence = Utterance(np.zeros(RATE, np.float32), RATE, 0.0, 1.0, 0.5, 0.5, "a.wav")
    with pytest.raises(ValueError, match="takes typed lines only"):
        assistant.hear(silence)


def test_a_round_waits_for_the_context_before_it_asks_on(assistant: Assistant) -> None:
    assert "guide front?" in shown(say(assistant, "start round sensors"))
    turn = say(assistant, "one oh two")
    assert [r.tone for r in turn.replies] == ["asked"]
    assert "docked or undocked?" in shown(turn)
    turn = say(assistant, "undocked")
    assert "guide signal front 102, undocked" in shown(turn)
    assert "Guide rear?" in shown(turn)


def test_a_step_in_another_context_ends_the_one_in_force(assistant: Assistant) -> None:
    """Read bare, "now docked: guide front?" must not get a value under "undocked"."""
    say(assistant, "start round sensors", "undocked")
    turn = say(assistant, "skip this")
    while "Now docked: guide front?" not in shown(turn):
        assert assistant.session.context.get("station") == "undocked"
        turn = say(assistant, "skip this")
    assert "station" not in assistant.session.context
    assert "docked or undocked?" in shown(say(assistant, "one oh two"))
    assert "Now docked: guide front?" in shown(say(assistant, "undocked"))
    assert "Docked, guide rear?" in shown(say(assistant, "docked, guide front one oh two"))


def test_words_that_mean_nothing_are_kept(assistant: Assistant) -> None:
    say(assistant, "the committee meets on thursday")
    [note] = assistant.session.notes
    assert (note.text, note.understood) == ("the committee meets on thursday", False)


def test_an_empty_line_does_nothing_and_opens_no_session(assistant: Assistant) -> None:
    assert say(assistant, "", "   ") == Turn()
    assert assistant.jobs == ()


class Scripted:
    """Two ears that hear what the script says, utterance after utterance. By sound alone they do
    not tell seventeen from seventy."""

    def __init__(self) -> None:
        self.words: tuple[str, str] = ("", "")
        self.by_sound = False
        self.lead = 0.5  # seconds from the start of an utterance to its first word

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        first = utterance.start + self.lead
        for name, text in zip(("a", "b"), self.words, strict=True):
            words = tuple(
                HeardWord(word, first + i * 0.3, first + (i + 1) * 0.3, 1.0)
                for i, word in enumerate(text.split())
            )
            hypotheses = (Hypothesis(words, 1.0),) if words else ()
            yield EarHearing(name, hypotheses, open_vocabulary=not self.by_sound)


@pytest.fixture
def scripted(tmp_path: Path) -> Iterator[tuple[Assistant, Scripted]]:
    ears = Scripted()
    store = Store(tmp_path)
    made = open_assistant(store, load_profile(), ears=ears, trusted=lambda a, b: True)
    yield made, ears
    made.close()


def hear(
    scripted: tuple[Assistant, Scripted],
    text: str,
    start: float,
    other: str = "",
    quiet_before: float = 0.5,
) -> Turn:
    assistant, ears = scripted
    ears.words = (text, other or text)
    silence = np.zeros(RATE * 2, np.float32)
    return assistant.hear(Utterance(silence, RATE, start, start + 2.0, quiet_before, 0.5, "a.wav"))


def test_a_number_that_goes_on_after_a_pause_is_one_value(
    scripted: tuple[Assistant, Scripted],
) -> None:
    hear(scripted, "battery voltage seventeen", 0.0)
    hear(scripted, "point six", 2.5)
    assert told(scripted[0]) == [("battery_voltage", None, "17.6")]


def test_a_sign_left_hanging_is_joined_with_its_number(
    scripted: tuple[Assistant, Scripted],
) -> None:
    hear(scripted, "undocked guide rear minus", 0.0)
    hear(scripted, "sixty five", 3.0)
    assert told(scripted[0]) == [("guide_signal", "rear", "-65")]


@pytest.mark.parametrize(("start", "status"), [(4.0, "asked"), (4.01, "accepted")])
def test_speech_that_came_to_nothing_may_have_been_the_minus_of_what_follows(
    scripted: tuple[Assistant, Scripted], start: float, status: str
) -> None:
    scripted[0].conversation.ask_for("guide_signal", "rear")
    hear(scripted, "mumble", 0.0)
    hear(scripted, "sixty five undocked", start)
    [reading] = scripted[0].session.readings
    assert (reading.value, reading.status) == ("65", status)


@pytest.mark.parametrize("answer", ["docked", "undocked"])
def test_a_context_that_may_have_been_cut_off_is_asked_once_and_its_answer_settles_all(
    scripted: tuple[Assistant, Scripted], answer: str
) -> None:
    """Of "undocked" without its beginning "docked" is left, to every recogniser."""
    scripted[1].lead = 0.0
    turn = hear(scripted, "docked guide rear minus sixty five", 0.0, quiet_before=0.0)
    asked = "guide signal rear minus six five. docked or undocked?"
    assert [reply.spoken for reply in turn.replies] == ["", asked]
    assert scripted[0].session.context == {}
    assert [r.status for r in scripted[0].session.readings] == ["asked"]
    hear(scripted, answer, 9.0)
    [reading] = scripted[0].session.readings
    assert (reading.value, reading.status, reading.doubts) == ("-65", "accepted", ())
    assert reading.context == scripted[0].session.context == {"station": answer}
    assert scripted[0].conversation.question is None


def test_a_context_answers_no_reading_whose_number_is_in_doubt(
    scripted: tuple[Assistant, Scripted],
) -> None:
    hear(scripted, "guide rear sixty five", 0.0, other="guide rear sixty four docked")
    hear(scripted, "docked", 9.0)
    [reading] = scripted[0].session.readings
    assert reading.status == "asked"


@pytest.mark.parametrize(("pause", "value"), [(1.99, "17.6"), (2.01, "17")])
@pytest.mark.parametrize(("lead", "quiet"), [(0.5, 1.99), (1.2, 0.1)], ids=["silence", "noise"])
def test_a_number_goes_on_within_two_seconds_and_not_later(
    scripted: tuple[Assistant, Scripted], lead: float, quiet: float, pause: float, value: str
) -> None:
    """Whether half a second of silence is kept before the speech, or more of noise."""
    hear(scripted, "battery voltage seventeen", 0.0)
    spoken_until = 0.5 + 3 * 0.3
    scripted[1].lead = lead
    hear(scripted, "point six", spoken_until + pause - lead, quiet_before=quiet)
    assert [r.value for r in scripted[0].session.readings] == [value]


def test_a_number_goes_on_in_its_own_recording_only(
    scripted: tuple[Assistant, Scripted],
) -> None:
    assistant, ears = scripted
    hear(scripted, "battery voltage seventeen", 0.0)
    ears.words = ("point six", "point six")
    silence = np.zeros(RATE, np.float32)
    assistant.hear(Utterance(silence, RATE, 2.0, 3.0, 0.5, 0.5, "b.wav"))
    assert [r.value for r in assistant.session.readings] == ["17"]


def test_while_a_number_is_asked_about_its_rest_is_no_answer_by_itself(
    scripted: tuple[Assistant, Scripted],
) -> None:
    assistant, ears = scripted
    ears.by_sound = True
    hear(scripted, "battery voltage seventeen", 0.0)
    hear(scripted, "point six", 9.0)
    [reading] = assistant.session.readings
    assert (reading.value, reading.status) == ("17.6", "asked")
    hear(scripted, "one seven point six", 12.0)
    [reading] = assistant.session.readings
    assert (reading.value, reading.status) == ("17.6", "accepted")


def test_the_next_reading_is_not_taken_for_a_continuation(
    scripted: tuple[Assistant, Scripted],
) -> None:
    hear(scripted, "battery voltage seventeen", 0.0)
    hear(scripted, "battery temperature twenty", 2.5)
    assert told(scripted[0]) == [
        ("battery_voltage", None, "17"),
        ("battery_temperature", None, "20"),
    ]


def test_a_context_lapses_after_a_long_gap(scripted: tuple[Assistant, Scripted]) -> None:
    hear(scripted, "undocked", 0.0)
    hear(scripted, "guide front ninety", 2.0 + 31 * 60)
    assert scripted[0].session.readings[0].missing == ("station",)


def test_a_doubted_context_is_not_put_in_force_and_ends_the_old_one(
    scripted: tuple[Assistant, Scripted],
) -> None:
    hear(scripted, "docked", 0.0)
    turn = hear(scripted, "undocked", 3.0, other="on the dot")
    assert turn.replies[0].tone == "asked"
    assert scripted[0].session.context == {}
