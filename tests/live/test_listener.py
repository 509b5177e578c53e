"""Hearing ahead: begun before the end is sure, thrown away where the speech goes on."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.microphone import BLOCK, Block
from assistant.audio.recording import read
from assistant.audio.segments import END_QUIET
from assistant.audio.utterance import RATE
from assistant.live.listener import EARLY_QUIET, SHORT_QUIET, Listener
from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.turn import Attended
from tests.live.said_by_level import Language, LanguageEars, Samples, loud, quiet

CHUNK_SECONDS = BLOCK / RATE


class Feeding:
    """A listener that is fed block by block; each result is taken down when it comes."""

    def __init__(self, folder: Path) -> None:
        self.language = Language()
        self.ears = LanguageEars(self.language)
        self.assistant = open_assistant(
            Store(folder), load_profile(), ears=self.ears, trusted=lambda a, b: True
        )
        self.listener = Listener(self.assistant, detector=loud)
        self.results: list[tuple[float, str]] = []
        self.at = 0.0

    def feed(self, *parts: Samples) -> None:
        """As slowly as the ears need: what is heard ahead is heard before the next block."""
        for part in parts:
            for block in part.reshape(-1, BLOCK):
                self.listener.take(Block(block))
                self.at += CHUNK_SECONDS
                ahead = self.listener._ahead
                if ahead is not None and not ahead._decided.is_set():
                    ahead._thread.join(0.05)
                elif ahead is not None:
                    ahead.wait()
                self._take(self.listener.result())
        self._take(self.listener.result(wait=True))

    def _take(self, attended: Attended | None) -> None:
        if attended is not None:
            heard = attended.heard.ears[0].hypotheses
            self.results.append((self.at, heard[0].text if heard else ""))
            self.assistant.take_down(attended)

    def heard_by(self, ear: str) -> list[str]:
        return [text for name, text in self.ears.woken if name == ear]


@pytest.fixture
def feeding(tmp_path: Path) -> Iterator[Feeding]:
    made = Feeding(tmp_path)
    yield made
    made.listener.close()
    made.assistant.close()


WORDS = "battery voltage eighteen point two volts"


def test_what_is_completely_understood_ends_after_the_short_quiet(feeding: Feeding) -> None:
    speech = feeding.language.say(WORDS)
    feeding.feed(quiet(0.512), speech, quiet(2.0))
    [(at, text)] = feeding.results
    ended = 0.512 + len(speech) / RATE
    assert text == WORDS
    assert ended + SHORT_QUIET <= at <= ended + END_QUIET


def test_a_number_that_could_go_on_is_waited_for_longer(feeding: Feeding) -> None:
    speech = feeding.language.say("battery voltage seventeen")
    feeding.feed(quiet(0.512), speech, quiet(2.0))
    [(at, _)] = feeding.results
    assert at >= 0.512 + len(speech) / RATE + END_QUIET


def test_what_was_heard_ahead_of_speech_that_goes_on_is_thrown_away(feeding: Feeding) -> None:
    first, rest = feeding.language.say("battery voltage seventeen"), feeding.language.say("point 2")
    feeding.feed(quiet(0.512), first, quiet(EARLY_QUIET + 0.07), rest, quiet(1.5))
    assert [text for _, text in feeding.results] == ["battery voltage seventeen point 2"]
    assert feeding.heard_by("a") == [
        "battery voltage seventeen",
        "battery voltage seventeen point 2",
    ]


def test_an_utterance_is_heard_once_where_the_speech_does_not_go_on(feeding: Feeding) -> None:
    feeding.feed(quiet(0.512), feeding.language.say(WORDS), quiet(2.0))
    assert feeding.heard_by("a") == [WORDS]


def test_the_slow_ear_is_not_woken_for_a_short_pause(feeding: Feeding) -> None:
    first, rest = feeding.language.say("guide front"), feeding.language.say("one oh two undocked")
    feeding.feed(quiet(0.512), first, quiet(EARLY_QUIET + 0.07), rest, quiet(1.5))
    assert "guide front" in feeding.heard_by("b")
    assert "guide front" not in feeding.heard_by("slow")


def test_the_sound_of_what_was_heard_ahead_is_kept_whole(feeding: Feeding) -> None:
    speech = feeding.language.say(WORDS)
    feeding.feed(quiet(0.512), speech, quiet(2.0))
    record = feeding.assistant.jobs[0].record
    [reading] = record.session.readings
    path = record.audio.path(reading.audio or "")
    assert path is not None
    kept = read(path)
    assert np.count_nonzero(np.abs(kept) > 0.05) == len(speech)


def test_what_is_skipped_is_not_heard_and_leaves_no_quiet_before_the_next(feeding: Feeding) -> None:
    half = feeding.language.say("guide rear")
    feeding.feed(quiet(0.512), half)
    feeding.listener.skip(RATE)
    feeding.feed(feeding.language.say("sixty five"), quiet(1.5))
    assert [text for _, text in feeding.results] == ["sixty five"]
    settled = feeding.assistant.session
    assert settled.readings == ()


def test_where_nobody_speaks_there_is_nothing_to_end(feeding: Feeding) -> None:
    feeding.feed(quiet(1.0))
    feeding.listener.finish()
    assert not feeding.listener.busy
    assert feeding.listener.result() is None


def test_a_click_wakes_no_ear(feeding: Feeding) -> None:
    feeding.feed(quiet(0.512), feeding.language.say("guide rear", chunks=2), quiet(2.0))
    assert feeding.results == []
    assert feeding.ears.woken == []


def test_closing_waits_for_the_ear_that_is_busy_and_wakes_no_other(feeding: Feeding) -> None:
    feeding.ears.gate.clear()
    sound = np.concatenate([quiet(0.512), feeding.language.say(WORDS), quiet(END_QUIET + 0.1)])
    for block in sound.reshape(-1, BLOCK):
        feeding.listener.take(Block(block))
    assert feeding.listener.busy
    closing = threading.Thread(target=feeding.listener.close)
    closing.start()
    assert feeding.heard_by("a") == []
    assert closing.is_alive()
    feeding.ears.gate.set()
    closing.join(60)
    assert not closing.is_alive()
    assert feeding.heard_by("slow") == []
