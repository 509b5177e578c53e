from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.hearing.heard import HeardWord
from assistant.profile.schema import Profile
from assistant.record.session import Reading
from assistant.settling.believed import TALK
from assistant.settling.settled import Doubt, Settled
from assistant.speaking.readback import WHY, read_back, reply_to
from assistant.wording.statement import (
    CommandSaid,
    ContextSaid,
    NoteSaid,
    NotUnderstood,
    ObservationSaid,
    ReadingSaid,
    Value,
)

WORDS = (HeardWord("words", 0.0, 1.0, 1.0),)


def said(quantity: str | None, position: str | None, number: str, **more: Any) -> ReadingSaid:
    return ReadingSaid(WORDS, quantity, position, Value("value", number), **more)


def front(number: str = "102", **more: Any) -> ReadingSaid:
    return said("guide_signal", "front", number, **more)


def recorded(id_: str, position: str, value: str) -> Reading:
    return Reading(
        id_, "guide_signal", position, value, "value", "1", {"station": "docked"}, "accepted"
    )


def test_label_then_position_then_value_digit_by_digit(bench: Profile) -> None:
    reply = reply_to(Settled(front(), "accepted", {"station": "docked"}), bench)
    assert reply.spoken == "guide signal front one zero two, docked"
    assert reply.shown == "guide signal front 102, docked"
    assert reply.tone == "accepted"


def test_a_swap_of_front_and_rear_can_be_heard(bench: Profile) -> None:
    rear = said("guide_signal", "rear", "102")
    replies = [reply_to(Settled(s, "accepted"), bench).spoken for s in (front(), rear)]
    assert replies == ["guide signal front one zero two", "guide signal rear one zero two"]


def test_sign_unit_and_said_resolution_are_read_back(bench: Profile) -> None:
    reply = reply_to(Settled(said("battery_voltage", None, "12.50"), "accepted"), bench)
    assert reply.spoken == "battery voltage one two point five zero volts"
    assert reply.shown == "battery voltage 12.50 V"
    negative = reply_to(Settled(said("guide_signal", "rear", "-65"), "accepted"), bench)
    assert negative.spoken == "guide signal rear minus six five"
    assert negative.shown == "guide signal rear −65"


def test_another_unit_than_usual_is_said_as_it_was_said(bench: Profile) -> None:
    reply = reply_to(Settled(said("battery_voltage", None, "950", unit="mV"), "accepted"), bench)
    assert reply.spoken == "battery voltage nine five zero millivolts"
    assert reply.shown == "battery voltage 950 mV"


def test_terse_keeps_label_and_value_only(bench: Profile) -> None:
    context = {"station": "docked"}
    assert (
        reply_to(Settled(front(), "accepted", context), bench, terse=True).spoken
        == "guide front one zero two"
    )
    volts = Settled(said("battery_voltage", None, "12.5"), "accepted")
    assert reply_to(volts, bench, terse=True).spoken == "battery one two point five"


def test_a_context_that_was_just_said_is_said_back_though_the_reading_needs_none(
    bench: Profile,
) -> None:
    reading = said("battery_voltage", None, "12.5", context=(("station", "undocked"),))
    reply = reply_to(Settled(reading, "accepted", {"station": "undocked"}), bench)
    assert reply.spoken.endswith("volts, undocked")


def test_what_is_missing_is_asked_after_the_value(bench: Profile) -> None:
    loop = said("loop_signal", "front", "102")
    reply = reply_to(Settled(loop, "accepted", {"station": "docked"}, missing=("wire",)), bench)
    assert reply.spoken == "loop signal front one zero two, docked. guide or boundary?"
    assert reply.tone == "asked"
    both = reply_to(Settled(loop, "asked", missing=("wire", "station")), bench)
    assert both.spoken.endswith("guide or boundary? docked or undocked?")


@pytest.mark.parametrize(
    ("doubt", "spoken"),
    [
        ("value", "say again guide signal front"),
        ("start", "say again guide signal front, wait one breath first"),
        ("plausible", "say again guide signal front, I heard one zero two"),
        ("label", "say again, label and value"),
        ("alike", "say again guide signal front, digit by digit"),
        ("one_ear", "guide signal front one zero two? affirm, or say again"),
        ("unverified", "guide signal front one zero two? affirm, or say again"),
    ],
)
def test_a_doubt_is_asked_in_the_way_that_clears_it(
    bench: Profile, doubt: Doubt, spoken: str
) -> None:
    reply = reply_to(Settled(front(), "asked", doubts=(doubt,)), bench)
    assert reply.spoken == spoken
    assert reply.tone == "asked"
    assert WHY[doubt] in reply.shown


def test_a_value_in_doubt_is_not_read_out_even_where_it_could_be_affirmed(bench: Profile) -> None:
    reply = reply_to(Settled(front(), "asked", doubts=("one_ear", "start")), bench)
    assert "one zero two" not in reply.spoken


def test_a_doubted_context_is_asked_for_by_its_own_question(bench: Profile) -> None:
    reading = front(context=(("station", "docked"),))
    reply = reply_to(Settled(reading, "asked", {"station": "docked"}, doubts=("context",)), bench)
    assert reply.spoken == "guide signal front one zero two. docked or undocked?"


def test_a_correction_says_the_old_and_the_new_value(bench: Profile) -> None:
    reply = reply_to(
        Settled(front("120", corrects=True), "accepted", {"station": "docked"}),
        bench,
        replaced=recorded("7", "front", "102"),
    )
    assert reply.spoken == (
        "correction, guide signal front, was one zero two, now one two zero, docked"
    )
    assert reply.shown == "guide signal front 120 (was 102), docked"


def test_a_command_is_asked_again_when_in_doubt_and_else_left_to_its_doer(bench: Profile) -> None:
    disregard = CommandSaid(WORDS, "disregard")
    assert reply_to(Settled(disregard, "accepted"), bench).spoken == ""
    asked = reply_to(Settled(disregard, "asked", doubts=("one_ear",)), bench)
    assert (asked.spoken, asked.tone) == ("say again", "asked")


def test_a_doubted_change_of_context_is_asked_by_its_question(bench: Profile) -> None:
    docked = ContextSaid(WORDS, "station", "docked")
    reply = reply_to(Settled(docked, "asked", doubts=("context",)), bench)
    assert (reply.spoken, reply.tone) == ("docked or undocked?", "asked")


def test_a_corrected_context_names_the_readings_it_touches(bench: Profile) -> None:
    reply = reply_to(
        Settled(ContextSaid(WORDS, "station", "undocked", corrects=True), "accepted"),
        bench,
        touched=[recorded("7", "front", "102"), recorded("8", "rear", "-65")],
    )
    assert reply.spoken == "correction, undocked, for guide signal front, guide signal rear"
    assert reply.about == ("7", "8")


def test_a_context_names_the_readings_it_completes_and_asks_what_they_still_lack(
    bench: Profile,
) -> None:
    docked = Settled(ContextSaid(WORDS, "station", "docked"), "accepted")
    reading = recorded("7", "front", "102")
    reply = reply_to(docked, bench, touched=[reading])
    assert reply.spoken == "docked, for guide signal front"
    waiting = replace(reading, quantity="loop_signal", missing=("wire",))
    reply = reply_to(docked, bench, touched=[waiting])
    assert reply.spoken == "docked, for loop signal front. guide or boundary?"
    assert reply.tone == "asked"


def test_a_context_is_said_back_and_its_end_too(bench: Profile) -> None:
    docked = Settled(ContextSaid(WORDS, "station", "docked"), "accepted")
    assert reply_to(docked, bench).spoken == "docked"
    ended = Settled(ContextSaid(WORDS, "station", None), "accepted")
    assert reply_to(ended, bench).spoken == "no longer known: in the station or out of it"


def test_an_observation_is_said_back(bench: Profile) -> None:
    worn = Settled(ObservationSaid(WORDS, "blade_condition", "worn"), "accepted")
    assert reply_to(worn, bench).spoken == ("blade condition, worn")
    serial = Settled(ObservationSaid(WORDS, "serial", "4b"), "accepted")
    assert reply_to(serial, bench).spoken == "serial, four bravo"


def test_notes_and_words_not_understood(bench: Profile) -> None:
    note = reply_to(Settled(NoteSaid(WORDS, "seal looks tired"), "accepted"), bench)
    assert (note.shown, note.spoken) == ("note kept: seal looks tired", "note kept")
    lost = reply_to(Settled(NotUnderstood(WORDS, "no label"), "nothing"), bench)
    assert lost.spoken == "say again"
    assert "no label" in lost.shown


def test_noise_without_words_does_not_make_the_assistant_talk(bench: Profile) -> None:
    reply = reply_to(Settled(NotUnderstood((), "nothing heard"), "nothing"), bench)
    assert (reply.spoken, reply.tone) == ("", "none")


def test_talk_beside_the_bench_is_shown_and_not_answered(bench: Profile) -> None:
    reply = reply_to(Settled(NotUnderstood(WORDS, TALK), "nothing"), bench)
    assert (reply.spoken, reply.tone) == ("", "none")
    assert "taken for talk" in reply.shown


def test_reading_back_all_gives_one_reply_a_reading(bench: Profile) -> None:
    replies = read_back([recorded("7", "front", "102"), recorded("8", "rear", "-65")], bench)
    assert [r.spoken for r in replies] == [
        "guide signal front one zero two, docked",
        "guide signal rear minus six five, docked",
    ]
    assert [r.about for r in replies] == [("7",), ("8",)]
