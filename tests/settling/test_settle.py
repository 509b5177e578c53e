"""What two ears agree on is accepted; every doubt is asked about; nothing is invented."""

from __future__ import annotations

import pytest

from assistant.audio.segments import QUIET_NEEDED
from assistant.hearing.heard import EarHearing, Heard, HeardWord, Hypothesis
from assistant.profile import load_profile, load_spoken
from assistant.settling.believed import OFF_GRAMMAR_LIMIT
from assistant.settling.cut_start import LEAD_NEEDED
from assistant.settling.doubts import Trusted, nobody
from assistant.settling.settle import no_ear_could_mend, settle
from assistant.settling.settled import Correctable, Expectation, OpenQuestion, Settled
from assistant.wording.parser import Parser
from assistant.wording.statement import ContextSaid, NoteSaid, NotUnderstood, ReadingSaid

PROFILE = load_profile()
PARSER = Parser(PROFILE, load_spoken())
UNDOCKED = {"station": "undocked"}
NOTHING_OPEN = Expectation()
FRONT = Expectation(quantity="guide_signal", position="front")
BY_SOUND = ("own", "pocketsphinx")


def everybody(_first: str, _second: str) -> bool:
    return True


def ear(
    name: str,
    text: str,
    *,
    prompted: frozenset[str] = frozenset(),
    certain: bool = False,
    off: float | None = None,
) -> EarHearing:
    words = tuple(
        HeardWord(word, 0.5 + 0.3 * i, 0.8 + 0.3 * i, 0.9) for i, word in enumerate(text.split())
    )
    hypotheses = (Hypothesis(words, 0.9),) if words else ()
    return EarHearing(name, hypotheses, prompted, off, certain, name not in BY_SOUND)


def settled(
    *ears: EarHearing,
    quiet: float = 0.5,
    start: float = 0.0,
    unbroken: bool = True,
    expectation: Expectation = NOTHING_OPEN,
    trusted: Trusted = everybody,
) -> tuple[Settled, ...]:
    heard = Heard("a.wav", start, 4.0, quiet, 0.8, ears, unbroken)
    return settle(
        heard,
        PARSER.parse,
        expectation,
        PROFILE,
        trusted,
        PARSER.mishearings,
    )


def readings(found: tuple[Settled, ...]) -> list[Settled]:
    return [one for one in found if isinstance(one.statement, ReadingSaid)]


def test_two_ears_that_agree_on_the_whole_tuple_are_accepted() -> None:
    words = "guide front one oh two rear minus sixty five docked"
    front, rear = readings(settled(ear("a", words), ear("b", words)))
    assert (front.status, rear.status) == ("accepted", "accepted")
    assert front.context == {"station": "docked"}
    assert isinstance(rear.statement, ReadingSaid)
    assert (rear.statement.position, rear.statement.value.number) == ("rear", "-65")


def test_two_ears_that_give_other_numbers_are_asked_and_the_neighbour_is_not_held_up() -> None:
    front, rear = readings(
        settled(
            ear("a", "guide undocked front one oh two rear sixty five"),
            ear("b", "guide undocked front one oh two rear sixteen"),
        )
    )
    assert front.status == "accepted"
    assert (rear.status, rear.doubts) == ("asked", ("value",))


@pytest.mark.parametrize(
    ("first", "second", "doubt"),
    [
        ("guide front sixty five undocked", "guide front minus sixty five undocked", "value"),
        ("guide front sixty five undocked", "guide rear sixty five undocked", "label"),
        ("guide front sixty five undocked", "guide front sixty five docked", "context"),
        ("guide front sixty five docked", "guide front sixty five", "context"),
        ("guide front sixty five undocked", "the weather is fine", "one_ear"),
    ],
)
def test_the_doubt_names_what_differs(first: str, second: str, doubt: str) -> None:
    one = readings(settled(ear("a", first), ear("b", second)))[0]
    assert one.status == "asked"
    assert doubt in one.doubts


def test_one_ear_alone_accepts_nothing() -> None:
    [one] = readings(settled(ear("a", "guide front one oh two undocked")))
    assert (one.status, one.doubts) == ("asked", ("one_ear",))


def test_an_unverified_pair_of_ears_accepts_nothing() -> None:
    words = "guide front one oh two undocked"
    [one] = readings(settled(ear("a", words), ear("b", words), trusted=nobody))
    assert (one.status, one.doubts) == ("asked", ("unverified",))


@pytest.mark.parametrize(
    ("quiet", "status"), [(QUIET_NEEDED, "accepted"), (QUIET_NEEDED - 0.001, "asked")]
)
def test_a_start_that_may_be_cut_off_is_asked(quiet: float, status: str) -> None:
    words = "sixty five undocked guide rear seventy"
    front, rear = readings(
        settled(ear("a", words), ear("b", words), quiet=quiet, expectation=FRONT)
    )
    assert front.status == status
    assert rear.status == "accepted", "only what the lost onset may have changed is asked"


UNDOCKED_FRONT = Expectation(UNDOCKED, "guide_signal", "front")


@pytest.mark.parametrize(
    ("words", "doubts"),
    [
        ("guide front sixty five undocked", [()]),
        ("undocked guide front sixty five", [()]),
        ("quality ninety eight", [()]),
        ("boundary resistance six point four ohms", [()]),
        ("front sixty five undocked", [()]),  # which wire is asked for anyhow
        ("guide front sixty five", [("context",)]),  # the word for another context may be lost
        ("docked guide front sixty five rear sixty", [("context",), ("context",)]),
        ("sixty five", [("start",)]),
        ("no reading", [("start",)]),  # of another wire
        ("point five", [("start",)]),
    ],
)
def test_of_a_start_that_may_be_cut_off_that_is_asked_which_a_lost_word_would_change(
    words: str, doubts: list[tuple[str, ...]]
) -> None:
    both = (ear("a", words), ear("b", words))
    found = readings(settled(*both, quiet=0.0, expectation=UNDOCKED_FRONT))
    assert [one.doubts for one in found] == doubts
    assert all(not one.doubts for one in readings(settled(*both, expectation=UNDOCKED_FRONT)))


def test_where_sound_is_missing_in_the_middle_the_first_reading_is_asked_whatever_it_is() -> None:
    words = "guide front sixty five undocked rear seventy"
    both = (ear("a", words), ear("b", words))
    front, rear = readings(settled(*both, quiet=0.0, unbroken=False))
    assert (front.doubts, rear.doubts) == (("start",), ())
    assert all(not one.doubts for one in readings(settled(*both, quiet=0.0)))


def test_a_running_wire_may_have_been_another_where_the_start_is_cut_off() -> None:
    running = Expectation({"wire": "guide", "station": "undocked"})
    both = ear("a", "front sixty five"), ear("b", "front sixty five")
    [one] = readings(settled(*both, quiet=0.0, expectation=running))
    assert one.doubts == ("start",)
    assert readings(settled(*both, expectation=running))[0].status == "accepted"


def test_docked_may_be_the_end_of_undocked_but_not_the_other_way_round() -> None:
    for words, status in (("docked", "asked"), ("undocked", "accepted")):
        [one] = settled(ear("a", words), ear("b", words), quiet=0.0)
        assert isinstance(one.statement, ContextSaid)
        assert (one.status, one.doubts) == (status, ("context",) if status == "asked" else ())
        [whole] = settled(ear("a", words), ear("b", words))
        assert whole.status == "accepted"


@pytest.mark.parametrize(
    ("sooner", "unbroken", "status"),
    [
        (LEAD_NEEDED, True, "accepted"),
        (LEAD_NEEDED - 0.001, True, "asked"),
        (LEAD_NEEDED, False, "asked"),
    ],
)
def test_without_quiet_a_start_counts_when_the_ears_heard_nothing_in_the_sound_before_it(
    sooner: float, unbroken: bool, status: str
) -> None:
    words = "sixty five undocked"
    begins = 0.5  # where ear() lets its first word begin
    cut = {"quiet": 0.0, "expectation": FRONT}
    heard = (ear("own", words), ear("pocketsphinx", words))
    [one] = readings(settled(*heard, **cut, start=begins - sooner, unbroken=unbroken))
    assert one.status == status
    [guessed] = readings(settled(ear("a", words), ear("b", words), **cut, start=begins - 9))
    assert guessed.doubts == ("start",), "ears of free speech only guess when a word was said"


@pytest.mark.parametrize("sooner", [-0.2, 0.2])
def test_a_start_that_may_be_cut_off_is_asked_whatever_times_another_ear_gives(
    sooner: float,
) -> None:
    first = ear("a", "sixty five undocked")
    words = tuple(
        HeardWord(word.text, word.start - sooner, word.end - sooner, word.confidence)
        for word in first.hypotheses[0].words
    )
    second = EarHearing("b", (Hypothesis(words, 0.9),))
    [one] = readings(settled(first, second, quiet=0.0, expectation=FRONT))
    assert (one.status, one.doubts) == ("asked", ("start",))


@pytest.mark.parametrize(
    ("number", "status"),
    [("nine hundred and ninety nine", "accepted"), ("one thousand", "asked")],
)
def test_a_value_that_cannot_be_is_asked_and_the_limit_itself_can(number: str, status: str) -> None:
    words = f"guide undocked front {number}"
    [one] = readings(settled(ear("a", words), ear("b", words)))
    assert one.status == status


def test_a_context_heard_only_by_an_ear_that_was_prompted_with_it_is_asked() -> None:
    words = "guide front one oh two docked"
    led = frozenset({"docked"})
    [one] = readings(settled(ear("a", words, prompted=led), ear("b", words, prompted=led)))
    assert (one.status, one.doubts) == ("asked", ("context",))
    [one] = readings(settled(ear("a", words, prompted=led), ear("b", words)))
    assert one.status == "accepted"


def test_what_is_unsaid_stays_absent_and_a_negative_value_docks_nothing() -> None:
    words = "front minus sixty five"
    [one] = readings(settled(ear("a", words), ear("b", words)))
    assert one.status == "accepted"
    assert one.missing == ("wire", "station")
    assert one.context == {}
    assert isinstance(one.statement, ReadingSaid)
    assert one.statement.quantity == "loop_signal"


def test_the_running_wire_and_station_complete_a_reading() -> None:
    running = Expectation({"wire": "boundary", "station": "undocked"})
    words = "front one three six"
    [one] = readings(settled(ear("a", words), ear("b", words), expectation=running))
    assert (one.missing, one.context) == ((), UNDOCKED)
    assert isinstance(one.statement, ReadingSaid)
    assert one.statement.quantity == "boundary_signal"


def test_of_two_contexts_each_governs_what_follows_and_the_reading_before_is_asked_about() -> None:
    words = "guide front ninety docked front one oh two undocked front ninety eight"
    before, docked, undocked = readings(
        settled(ear("a", words), ear("b", words), expectation=Expectation(UNDOCKED))
    )
    assert before.missing == ("station",)
    assert (docked.context, undocked.context) == ({"station": "docked"}, UNDOCKED)


def test_a_bare_number_is_a_reading_only_while_one_is_expected() -> None:
    words = "ninety eight"
    [one] = settled(ear("a", words), ear("b", words))
    assert one.status == "nothing"
    expected = Expectation(UNDOCKED, "guide_signal", "front")
    [one] = settled(ear("a", words), ear("b", words), expectation=expected)
    assert isinstance(one.statement, ReadingSaid)
    assert (one.statement.quantity, one.statement.position) == ("guide_signal", "front")
    assert one.status == "accepted"


def test_where_nothing_was_heard_there_is_nothing() -> None:
    assert settled(ear("a", ""), ear("b", "")) == ()
    assert no_ear_could_mend(())


def test_a_reading_that_only_the_second_ear_heard_is_asked_and_not_lost() -> None:
    found = readings(
        settled(
            ear("a", "guide undocked front ninety eight"),
            ear("b", "guide undocked front ninety eight rear one hundred"),
        )
    )
    assert [(one.status, one.statement.position) for one in found] == [  # type: ignore[union-attr]
        ("accepted", "front"),
        ("asked", "rear"),
    ]


def test_a_third_ear_has_nothing_to_add_where_two_agree_on_everything() -> None:
    words = "guide undocked front ninety eight"
    found = settled(ear("a", words), ear("b", "boundary quality nine"), ear("c", words))
    assert [one.status for one in readings(found)] == ["accepted"]


def test_a_context_that_one_ear_alone_heard_is_asked() -> None:
    [one] = settled(ear("a", "docked"), ear("b", "doctor"))
    assert isinstance(one.statement, ContextSaid)
    assert one.status == "asked"


def test_a_note_is_kept_from_one_ear_and_what_is_not_understood_is_kept_as_nothing() -> None:
    [note] = settled(ear("a", "note seal looks tired"))
    assert isinstance(note.statement, NoteSaid)
    assert note.status == "accepted"
    found = settled(ear("a", "the committee meets on thursday"))
    assert all(isinstance(one.statement, NotUnderstood) for one in found)
    assert {one.status for one in found} == {"nothing"}


def test_typed_words_need_no_second_ear() -> None:
    [one] = readings(settled(ear("typed", "guide front 102 undocked", certain=True)))
    assert one.status == "accepted"


def test_a_second_say_is_combined_across_ears_but_never_within_one() -> None:
    question = OpenQuestion("7", "guide_signal", "front", ("value",), (("a", "65"), ("b", "16")))
    expected = Expectation(UNDOCKED, "guide_signal", "front", question)
    [crossed] = readings(settled(ear("a", "sixteen"), ear("b", "sixty"), expectation=expected))
    assert (crossed.status, crossed.answers) == ("accepted", "7"), "b's first say meets a's second"
    [same] = readings(settled(ear("a", "sixty five"), ear("b", "sixty"), expectation=expected))
    assert same.status == "asked", "a said 65 twice: the same ear proves nothing"


def test_a_correction_without_a_label_is_about_the_last_reading() -> None:
    recent = (Correctable("9", "guide_signal", "rear", UNDOCKED),)
    words = "correction one twenty"
    [one] = readings(
        settled(ear("a", words), ear("b", words), expectation=Expectation({}, recent=recent))
    )
    assert isinstance(one.statement, ReadingSaid)
    assert (one.statement.quantity, one.statement.position) == ("guide_signal", "rear")
    assert (one.answers, one.context) == ("9", UNDOCKED)


def test_a_correction_with_a_position_finds_the_wire_it_was_read_on() -> None:
    recent = (
        Correctable("9", "guide_signal", "rear", UNDOCKED),
        Correctable("8", "guide_signal", "front", UNDOCKED),
    )
    words = "correction front one twenty"
    [one] = readings(
        settled(ear("a", words), ear("b", words), expectation=Expectation({}, recent=recent))
    )
    assert (one.answers, one.missing) == ("8", ())


def test_an_ear_beyond_its_off_grammar_limit_is_no_witness() -> None:
    words = "guide undocked front ninety eight"
    limit = OFF_GRAMMAR_LIMIT["own"]
    [one] = readings(settled(ear("own", words, off=limit), ear("b", words)))
    assert one.status == "accepted", "the limit itself is fine"
    [one] = readings(settled(ear("own", words, off=limit + 0.1), ear("b", words)))
    assert (one.status, one.doubts) == ("asked", ("one_ear",))


def test_chatter_that_every_ear_forced_into_its_grammar_is_no_reading_and_no_context() -> None:
    words = "open shift two"
    found = settled(ear("own", words, off=72.0), ear("pocketsphinx", words, off=500.0))
    assert [one.status for one in found] == ["nothing"]
    assert isinstance(found[0].statement, NotUnderstood)


def test_a_note_lies_off_the_grammar_and_its_words_are_those_of_the_open_ear() -> None:
    [note] = settled(
        ear("own", "make a note", off=100.0), ear("whisper", "make a note strips ordered")
    )
    assert isinstance(note.statement, NoteSaid)
    assert (note.status, note.statement.text) == ("accepted", "strips ordered")


@pytest.mark.parametrize(
    ("number", "status"),
    [("sixty", "asked"), ("sixteen", "asked"), ("sixty five", "accepted"), ("six", "accepted")],
)
def test_ears_that_go_by_sound_alone_do_not_decide_between_numbers_that_sound_alike(
    number: str, status: str
) -> None:
    words = f"guide undocked front {number}"
    by_sound = [ear("own", words, off=0.0), ear("pocketsphinx", words, off=100.0)]
    [one] = readings(settled(*by_sound))
    assert one.status == status
    [one] = readings(settled(*by_sound, ear("whisper", words)))
    assert one.status == "accepted"
