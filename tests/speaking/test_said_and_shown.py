"""Whatever is said is on the screen, and whatever the screen tells was said: for who can't hear in
a loud hall, and for who can't look."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile, load_spoken
from assistant.record.store import Store
from assistant.settling.settled import Doubt, Settled
from assistant.speaking.digits import DIGITS
from assistant.speaking.readback import reply_to
from assistant.speaking.reply import Reply
from assistant.wording.parser import Parser

FOR_THE_EYE = re.compile(r"“[^”]*”|\([^)]*\)|\d+ so far")
"""What was heard, in quotes, and reasons in parentheses, are shown only."""

SHIFT = {
    "robot_mower": (
        "unit one four",
        "guide front forty six, rear minus forty three, undocked",
        "front one oh two",
        "docked",
        "guide",
        "contact voltage twenty one point five zero volts loaded",
        "correction, contact voltage twenty two point one",
        "serial four seven bravo",
        "homing misses",
        "station tilt off scale",
        "twelve fifty",
        "seven",
        "the committee meets on thursday",
        "guide left five",
        "what next",
        "why",
        "likely causes",
        "mower moved",
        "read back all",
        "disregard front",
        "after repair, undocked, guide front one oh two",
        "compare before and after",
        "start round safety release",
        "passes",
        "skip this",
        "end round",
        "open questions",
        "stand by",
        "go ahead",
        "close job",
    ),
    "garden_tractor": (
        "unit forty one",
        "battery twelve point six",
        "stopped",
        "cranking battery eight point nine volts",
        "terminals corroded",
        "key drain two hundred milliamps",
        "what next",
        "likely causes",
        "start round charging test",
        "close job",
    ),
}


def numbers_said(spoken: str) -> list[str]:
    """The figures of a sentence as digits: "minus six five" is "-65"."""
    figure = {word: str(n) for n, word in enumerate(DIGITS)} | {"minus": "-", "point": "."}
    found: list[str] = []
    run = ""
    for word in re.findall(r"[a-z']+|\d+(?:\.\d+)?|[^\sa-z]", spoken.lower()):
        if word in figure or re.fullmatch(r"\d.*", word):
            run += figure.get(word, word)
        else:
            found += [run] if any(c.isdigit() for c in run) else []
            run = ""
    return [*found, *([run] if any(c.isdigit() for c in run) else [])]


def numbers_shown(shown: str) -> list[str]:
    plain = FOR_THE_EYE.sub(" ", shown).replace("−", "-")
    return re.findall(r"(?<![\w.])-?\d+(?:\.\d+)?(?!\w)", plain)


def spelled(digits: str, shown: str) -> bool:
    """A head or serial number is said character by character, letters between the digits."""
    return digits in "".join(re.findall(r"\d", shown))


@pytest.fixture(scope="module", params=sorted(SHIFT))
def replies(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> list[Reply]:
    home = tmp_path_factory.mktemp("said")
    assistant = open_assistant(Store(home), load_profile(request.param))
    try:
        return [r for line in SHIFT[request.param] for r in assistant.type(line).replies]
    finally:
        assistant.close()


def test_every_number_that_is_said_is_shown_in_the_same_reply(replies: list[Reply]) -> None:
    for reply in replies:
        shown = reply.shown.replace("−", "-")
        in_words = numbers_said(reply.shown)  # "nine in ten"
        for number in numbers_said(reply.spoken):
            assert number in shown or number in in_words or spelled(number, shown), reply


def test_every_number_that_is_shown_was_said_by_then(replies: list[Reply]) -> None:
    said: set[str] = set()
    for reply in replies:
        said |= set(numbers_said(reply.spoken))
        for number in numbers_shown(reply.shown):
            assert number in said, reply


def test_nothing_is_said_of_what_is_not_shown_and_nothing_shown_in_silence(
    replies: list[Reply],
) -> None:
    assert len(replies) > 10
    for reply in replies:
        assert bool(reply.spoken) == bool(reply.shown), reply


def asked(words: str) -> Iterator[Reply]:
    profile = load_profile()
    [statement] = Parser(profile, load_spoken()).parse_text(words)
    for doubt in get_args(Doubt):
        yield reply_to(Settled(statement, "asked", {}, doubts=(doubt,)), profile)


@pytest.mark.parametrize(
    "words", ["guide front one oh two", "undocked", "homing misses", "disregard", "forty"]
)
def test_what_to_do_about_a_doubt_is_said_and_shown_in_the_same_words(words: str) -> None:
    for reply in asked(words):
        bidding = r"(say again[^,?]*|affirm, or say again|say which.*|[^.,?]*\?$)"
        wish = re.search(bidding, reply.spoken)
        assert wish is not None, reply
        assert wish[1].strip() in reply.shown, reply


def test_a_tone_is_never_all_that_tells_a_verdict(replies: list[Reply]) -> None:
    for reply in replies:
        if reply.tone == "out":
            assert re.search(r"out of tolerance|suspect|fault", reply.spoken), reply
            assert re.search(r"out of tolerance|suspect|fault", reply.shown), reply


def test_the_demo_writes_what_it_says(tmp_path: Path) -> None:
    """The read-back of the demo is made from the replies that it prints."""
    from assistant.report.transcript import Transcript
    from assistant.turn import Turn

    assistant = open_assistant(Store(tmp_path), load_profile())
    transcript = Transcript(assistant, quiet=True)
    turn: Turn = assistant.type("docked guide front one oh two")
    transcript.show(turn)
    assert tuple(transcript.replies) == turn.replies
    assistant.close()
