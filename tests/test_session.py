"""The assistant at the bench, driven by typed lines: the whole way but for the sound."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.session import Reading
from assistant.record.store import Store
from assistant.session import Assistant, Turn


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


def test_words_that_mean_nothing_are_kept(assistant: Assistant) -> None:
    say(assistant, "the committee meets on thursday")
    [note] = assistant.session.notes
    assert (note.text, note.understood) == ("the committee meets on thursday", False)


def test_an_empty_line_does_nothing_and_opens_no_session(assistant: Assistant) -> None:
    assert say(assistant, "", "   ") == Turn()
    assert assistant.jobs == ()
