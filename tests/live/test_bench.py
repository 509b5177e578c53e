"""The loop at the bench, with sound made in code in place of microphone and loudspeaker."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.audio.microphone import BLOCK, Block
from assistant.errors import AudioError
from assistant.live.bench import ECHO, Bench, Manner
from assistant.live.listener import Listener
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.report.transcript import Transcript
from assistant.session import Assistant
from assistant.speaking.reply import Reply
from tests.live.said_by_level import Language, LanguageEars, Samples, loud, quiet

BLOCK_SECONDS = BLOCK / 16_000


class FakeLoudspeaker:
    """Says each reply for so many blocks of the microphone."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.stopped = 0
        self.blocks_left = 0
        self.blocks_each = 10
        self.silent = ""

    @property
    def speaking(self) -> bool:
        return self.blocks_left > 0

    def start(self, replies: Sequence[Reply]) -> None:
        assert not self.speaking, "two replies at once"
        self.said += [reply.spoken for reply in replies if reply.spoken]
        self.blocks_left = self.blocks_each * len(replies)

    def stop(self) -> None:
        self.stopped += self.speaking
        self.blocks_left = 0

    def wait(self) -> None: ...

    def look_again(self) -> None: ...


class FakeKeys:
    def __init__(self) -> None:
        self.waiting: list[str] = []

    def pressed(self) -> list[str]:
        keys, self.waiting = self.waiting, []
        return keys


class FakeScreen:
    def __init__(self) -> None:
        self.did: list[str] = []
        self.shown: list[tuple[str, str]] = []

    def level(self, samples: Samples) -> None: ...

    def doing(self, what: str) -> None:
        if self.did[-1:] != [what]:
            self.did.append(what)

    def heard_by(self, ears: Sequence[str]) -> None: ...

    def show(self, value: str, reply: Reply) -> None:
        self.shown.append((value, reply.tone))


Step = Samples | Callable[[], None]


class Workshop:
    """A bench with everything around it. ``hear`` plays sound and does what stands between, each
    thing when the sound before it has been taken and understood."""

    def __init__(self, folder: Path, manner: Manner) -> None:
        self.language = Language()
        self.ears = LanguageEars(self.language)
        self.loudspeaker = FakeLoudspeaker()
        self.keys, self.screen = FakeKeys(), FakeScreen()
        self.assistant: Assistant = open_assistant(
            Store(folder), load_profile(), ears=self.ears, trusted=lambda a, b: True
        )
        self.listener = Listener(self.assistant, detector=loud)
        parts: Any = (self.assistant, self.listener, self.loudspeaker, self.screen)
        rest: Any = (Transcript(self.assistant), self.keys, manner)
        self.bench = Bench(*parts, *rest)
        self._blocks: list[Block | Callable[[], None]] = []
        self.forgotten = 0

    def hear(self, *steps: Step) -> None:
        for step in steps:
            if callable(step):
                self._blocks.append(step)
            else:
                self._blocks += [Block(part) for part in step.reshape(-1, BLOCK)]
        self.bench.run(lambda: self, lambda: None)  # type: ignore[arg-type, return-value]
        self.bench._stopped.clear()

    def say(self, words: str, chunks: int = 12) -> Samples:
        return self.language.say(words, chunks)

    def lose_sound(self) -> None:
        following = self._blocks[0]
        assert isinstance(following, Block)
        self._blocks[0] = Block(following.samples, after_gap=True)

    def read(self, seconds: float) -> Block:
        self.loudspeaker.blocks_left = max(0, self.loudspeaker.blocks_left - 1)
        if self.listener._ended is not None and self.ears.gate.is_set():
            self.listener._ended.wait()  # no test hangs on how long understanding takes
        while self._blocks and callable(self._blocks[0]):
            self._blocks.pop(0)()  # type: ignore[operator]
        if self._blocks:
            block = self._blocks.pop(0)
            assert isinstance(block, Block)
            return block
        if not self.listener.busy:
            self.bench.stop()
        return Block(np.zeros(BLOCK, np.float32))

    def forget(self) -> int:
        return 0

    def __enter__(self) -> Workshop:
        return self

    def __exit__(self, *_: object) -> None: ...

    @property
    def readings(self) -> list[tuple[str, str | None, str]]:
        return [(r.quantity, r.value, r.status) for r in self.assistant.session.readings]


@pytest.fixture
def open_workshop(tmp_path: Path) -> Iterator[Callable[..., Workshop]]:
    opened: list[Workshop] = []

    def open_one(**manner: bool) -> Workshop:
        opened.append(Workshop(tmp_path / str(len(opened)), Manner(**manner)))
        return opened[-1]

    yield open_one
    for workshop in opened:
        workshop.listener.close()
        workshop.assistant.close()


SPOKEN = 10 * BLOCK_SECONDS + ECHO + 2 * BLOCK_SECONDS
"""Seconds that a reply of one part takes, with the echo."""


def test_a_value_is_taken_down_said_back_and_shown_big(open_workshop: Any) -> None:
    w = open_workshop()
    w.hear(quiet(0.5), w.say("battery voltage eighteen point two"), quiet(2.0))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]
    assert w.loudspeaker.said == ["battery voltage one eight point two volts"]
    assert w.screen.shown == [("18.2", "accepted")]
    assert w.screen.did[-2:] == ["speaking", "listening"]


def test_nothing_heard_while_it_speaks_becomes_a_reading(open_workshop: Any) -> None:
    w = open_workshop()
    own_voice = w.say("battery voltage one nine point nine", chunks=8)
    w.hear(quiet(0.5), w.say("battery voltage eighteen point two"), quiet(0.8), own_voice)
    w.hear(quiet(2.0))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]


def test_a_value_that_began_while_it_spoke_is_never_accepted(open_workshop: Any) -> None:
    w = open_workshop()
    w.hear(quiet(0.5), w.say("undocked"), quiet(0.8), w.say("guide rear sixty five", 40), quiet(1))
    assert [status for _, _, status in w.readings] == ["asked"]


def test_it_does_not_speak_over_somebody_who_speaks_on(open_workshop: Any) -> None:
    w = open_workshop()
    first = w.say("battery voltage eighteen point two")
    second = w.say("station tilt one point five degrees", 20)
    begun, rest = second[: 5 * BLOCK], second[5 * BLOCK :]
    before: list[str] = []

    def note() -> None:
        assert [value for _, value, _ in w.readings] == ["18.2"]
        before.extend(w.loudspeaker.said)

    open_gate = w.ears.gate.set
    w.hear(quiet(0.5), w.ears.gate.clear, first, quiet(0.8), begun, open_gate, rest, note, quiet(2))
    assert before == []
    assert [value for _, value, _ in w.readings] == ["18.2", "1.5"]
    assert len(w.loudspeaker.said) == 2


def test_a_pause_within_a_number_that_can_go_on_does_not_split_it(open_workshop: Any) -> None:
    w = open_workshop()
    w.hear(
        quiet(0.5), w.say("battery voltage seventeen"), quiet(0.6), w.say("point five"), quiet(2)
    )
    assert w.readings == [("battery_voltage", "17.5", "accepted")]
    assert w.loudspeaker.said == ["battery voltage one seven point five volts"]


def test_what_was_not_yet_said_back_and_went_on_is_said_back_as_a_whole(open_workshop: Any) -> None:
    w = open_workshop()
    first, rest = w.say("battery voltage seventeen"), w.say("point five")
    begun, rest = rest[: 4 * BLOCK], rest[4 * BLOCK :]
    w.hear(quiet(0.5), w.ears.gate.clear, first, quiet(0.9), begun, w.ears.gate.set, rest, quiet(2))
    assert w.readings == [("battery_voltage", "17.5", "accepted")]
    assert w.loudspeaker.said == ["battery voltage one seven point five volts"]


@pytest.mark.parametrize(
    ("said", "lost_in", "status"),
    [
        ("battery voltage eighteen point two", "the middle", "asked"),
        ("docked guide rear minus sixty five", "the quiet before", "asked"),  # or undocked
        ("battery voltage eighteen point two", "the quiet before", "accepted"),
    ],
)
def test_a_value_over_lost_sound_is_asked_about_where_a_word_may_be_missing(
    open_workshop: Any, said: str, lost_in: str, status: str
) -> None:
    w = open_workshop()
    words = w.say(said)
    lead = [quiet(0.5), quiet(0.1)]
    middle = [words[: 6 * BLOCK], words[6 * BLOCK :]]
    if lost_in == "the middle":
        w.hear(*lead, middle[0], w.lose_sound, middle[1], quiet(2.0))
    else:
        w.hear(lead[0], w.lose_sound, lead[1], *middle, quiet(2.0))
    assert [status for _, _, status in w.readings] == [status]


def test_with_push_to_talk_one_utterance_is_heard_for_each_key(open_workshop: Any) -> None:
    w = open_workshop(push_to_talk=True)
    words = w.say("battery voltage eighteen point two")
    w.hear(quiet(0.5), w.say("battery voltage nineteen point one"), quiet(1.0))
    assert w.assistant.jobs == ()
    w.hear(lambda: w.keys.waiting.append(" "), quiet(0.5), words, quiet(SPOKEN + 1.0))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]
    w.hear(w.say("battery voltage nineteen point one"), quiet(1.0))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]


def test_the_second_key_ends_the_utterance_without_waiting(open_workshop: Any) -> None:
    w = open_workshop(push_to_talk=True)

    def press() -> None:
        w.keys.waiting.append(" ")

    w.hear(press, quiet(0.5), w.say("battery voltage eighteen point two"), press, quiet(0.1))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]


def test_any_key_cuts_the_read_back_short(open_workshop: Any) -> None:
    w = open_workshop()
    words = w.say("battery voltage eighteen point two")
    w.hear(quiet(0.5), words, quiet(0.9), lambda: w.keys.waiting.append("x"), quiet(0.1))
    assert w.loudspeaker.stopped == 1


def test_with_a_headset_disregard_cuts_into_the_read_back(open_workshop: Any) -> None:
    w = open_workshop(headset=True)
    words = w.say("battery voltage eighteen point two")
    w.loudspeaker.blocks_each = 100
    w.hear(quiet(0.5), words, quiet(0.9), w.say("disregard", 4), quiet(1.0))
    assert w.readings == []
    assert any(said.startswith("withdrawn") for said in w.loudspeaker.said)


def test_with_a_headset_a_value_said_into_the_read_back_is_asked_again(open_workshop: Any) -> None:
    w = open_workshop(headset=True)
    words = w.say("battery voltage eighteen point two")
    w.loudspeaker.blocks_each = 50
    talked_over = w.say("station tilt one point five degrees", 4)
    w.hear(quiet(0.5), words, quiet(0.9), talked_over, quiet(3.0))
    assert w.readings == [("battery_voltage", "18.2", "accepted")]
    assert w.loudspeaker.said[-1] == "say again"


def test_a_microphone_that_goes_and_comes_back_leaves_the_session_whole(
    open_workshop: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("assistant.live.bench.RETRY", 0.0)
    w = open_workshop()

    def unplug() -> None:
        raise AudioError("No sound comes from the microphone any more.")

    words = w.say("battery voltage eighteen point two")
    w.hear(quiet(0.5), words, quiet(1.5), w.say("guide"), unplug, quiet(0.5), words, quiet(2.0))
    assert [value for _, value, _ in w.readings] == ["18.2", "18.2"]
    assert len(w.assistant.jobs) == 1
    assert "no microphone" in w.screen.did
    told = capsys.readouterr().err
    assert "any more" in told
    assert "is back" in told


def test_a_microphone_that_never_was_is_refused(open_workshop: Any) -> None:
    def none() -> Any:
        raise AudioError("The microphone can't be opened.")

    with pytest.raises(AudioError, match="can't be opened"):
        open_workshop().bench.run(none, lambda: None)


def test_ears_that_fail_over_an_utterance_are_told_aloud(
    open_workshop: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    w = open_workshop()
    failed = [("The recognisers stopped and were started again. Say the last thing again.",)]
    monkeypatch.setattr(w.ears, "listen", lambda _: iter(()))
    monkeypatch.setattr(w.bench, "_told", lambda: failed.pop() if failed else ())
    w.hear(quiet(0.5), w.say("battery voltage eighteen point two"), quiet(3.0))
    assert w.loudspeaker.said == ["the recognisers failed. say again"]
    assert "started again" in capsys.readouterr().err


def test_what_the_ears_have_to_tell_of_themselves_is_no_failure(
    open_workshop: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    w = open_workshop()
    missing = [("Going on without the ear vosk.",)]
    monkeypatch.setattr(w.bench, "_told", lambda: missing.pop() if missing else ())
    w.hear(quiet(0.5), np.full(12 * BLOCK, 0.07, np.float32), quiet(3.0))
    assert w.loudspeaker.said == []
    assert "without the ear vosk" in capsys.readouterr().err


def test_why_nothing_is_heard_of_what_it_says_is_told_once(
    open_workshop: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    w = open_workshop()

    def unplug() -> None:
        w.loudspeaker.silent = "The loudspeaker failed. Check its plug."

    words = w.say("battery voltage eighteen point two")
    w.hear(quiet(0.5), words, quiet(0.9), unplug, quiet(SPOKEN), words, quiet(SPOKEN + 1.0))
    assert capsys.readouterr().err.count("Only shown, not said: The loudspeaker failed.") == 1
    assert len(w.readings) == 2


def test_silent_shows_and_says_nothing_aloud(open_workshop: Any) -> None:
    w = open_workshop(silent=True)
    w.hear(quiet(0.5), w.say("battery voltage eighteen point two"), quiet(2.0))
    assert w.screen.shown == [("18.2", "accepted")]
    assert w.loudspeaker.said == []


def test_that_sound_was_lost_is_told_once(
    open_workshop: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    w = open_workshop()
    w.hear(quiet(0.5), w.lose_sound, quiet(0.5), w.lose_sound, quiet(0.5))
    assert capsys.readouterr().err.count("Some sound was lost") == 1


def test_a_noise_into_the_read_back_is_not_answered(open_workshop: Any) -> None:
    w = open_workshop(headset=True)
    w.loudspeaker.blocks_each = 50
    words = w.say("battery voltage eighteen point two")
    noise = np.full(12 * BLOCK, 0.07, np.float32)
    w.hear(quiet(0.5), words, quiet(0.9), noise, quiet(3.0))
    assert w.loudspeaker.said == ["battery voltage one eight point two volts"]


def test_it_can_be_stopped_while_it_waits_for_the_microphone(
    open_workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.live.bench.RETRY", 0.0)
    w = open_workshop()
    tried: list[int] = []

    def unplug() -> None:
        raise AudioError("No sound comes from the microphone any more.")

    def open_again() -> Any:
        if not tried:
            tried.append(1)
            return w
        w.bench.stop()
        raise AudioError("The microphone can't be opened.")

    w._blocks = [unplug]
    w.bench.run(open_again, lambda: None)
    assert w.screen.did[-1] == "no microphone"
