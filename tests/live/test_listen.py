"""`benchcall listen` through a real sound device: PulseAudio null sinks and the real recognisers.

Every value that is accepted must be the one that was said; which of them are asked about is the
recognisers' affair, so that these tests hold while those get better.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.utterance import RATE
from tests.hearing.demo_speech import said
from tests.live.pulse import PACKAGES, Listening, Pulse, Samples, is_here
from tests.needs import need


@pytest.fixture(scope="module")
def pulse() -> Iterator[Pulse]:
    need(is_here(), f"a sound server without a sound card ({PACKAGES})")
    with tempfile.TemporaryDirectory(prefix="pulse") as folder:  # sockets need a short path
        server = Pulse(Path(folder))
        yield server
        server.close()


def entries(pulse: Pulse) -> list[dict[str, object]]:
    """All entries of the session that was listened to last."""
    journal = max((pulse.folder / "home" / "sessions").glob("*/journal.jsonl"))
    return [json.loads(line) for line in journal.read_text("utf-8").splitlines()]


def readings(pulse: Pulse) -> list[dict[str, object]]:
    return [dict(e["body"]) for e in entries(pulse) if e["kind"] == "reading"]  # type: ignore[call-overload]


def answer(listening: Listening, pulse: Pulse, words: str, part: str) -> str:
    """Says these words of the shipped recordings; gives the line of the answer with this part, once
    the assistant listens again."""
    pulse.say(said(words).samples)
    line = listening.until(part)
    listening.until("[listening]")
    return line


def sounding(samples: Samples) -> float:
    """Seconds that are louder than the room."""
    return float(np.count_nonzero(np.abs(samples) > 0.02)) / RATE


SAID = {
    "guide rear minus sixty five": ("guide_signal", "rear", "-65"),
    "boundary front one thirty six": ("boundary_signal", "front", "136"),
    "quality one hundred": ("signal_quality", None, "100"),
}


def test_what_is_said_is_taken_down_said_back_and_survives_unplugging(pulse: Pulse) -> None:
    first, second, third = SAID
    with Listening(pulse, "--unit", "31") as listening:
        listening.until("[listening]")
        # The room carries what the assistant says back into the microphone.
        pulse.control("load-module", "module-loopback", "source=voice.monitor", "sink=said")
        with pulse.recorded() as channels:
            assert "−65" in answer(listening, pulse, first, "guide")
            assert "136" in answer(listening, pulse, second, "boundary")
        heard, answered = channels
        assert sounding(heard) > 2.0
        assert sounding(answered) > 2.0

        pulse.unplug()
        listening.until("comes from the microphone any more")
        listening.until("[no microphone]")
        pulse.plug_in()
        listening.until("The microphone is back")
        listening.until("[listening]")
        assert "100" in answer(listening, pulse, third, "quality")
        assert listening.end() == 0

    told = [(r["quantity"], r["position"], r["value"]) for r in readings(pulse)]
    assert told == list(SAID.values())
    assert [e["kind"] for e in entries(pulse)].count("opened") == 1
    assert len({r["audio"] for r in readings(pulse)}) == 3


def test_killed_while_it_listens_it_goes_on_in_the_same_session(pulse: Pulse) -> None:
    first, second, _ = SAID
    with Listening(pulse, "--unit", "31") as listening:
        listening.until("[listening]")
        assert "−65" in answer(listening, pulse, first, "guide")
        listening.process.kill()
    with Listening(pulse, "--session", "last") as listening:
        assert "−65" in listening.until("the last one: guide signal rear")
        listening.until("[listening]")  # it has said aloud where the session stands
        answer(listening, pulse, second, "boundary")
        assert listening.end() == 0
    told = [(r["quantity"], r["position"], r["value"]) for r in readings(pulse)]
    assert told == [SAID[first], SAID[second]]
    assert [e["kind"] for e in entries(pulse)].count("opened") == 1


def test_a_round_is_led_by_key_and_voice(pulse: Pulse) -> None:
    options = ("--unit", "31", "--round", "safety_release", "--push-to-talk")
    with Listening(pulse, *options) as listening:
        listening.until("Guards")
        listening.until("[press a key]")
        pulse.say(said("guards good").samples)
        listening.press(" ")
        listening.until("[speak now]")
        pulse.say(said("guards good").samples)
        listening.until("Lift stop")
        listening.until("[press a key]")
        assert listening.end() == 0
    seen = [e["body"] for e in entries(pulse) if e["kind"] == "observation"]
    assert [dict(body)["item"] for body in seen] == ["guards"]  # type: ignore[call-overload]
