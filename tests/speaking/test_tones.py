from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.speaking.reply import Tone
from assistant.speaking.tones import tone

RATE = 16_000


def pips(name: Tone) -> list[NDArray[np.float32]]:
    """The sounding stretches of a tone, split at its silences."""
    samples = tone(name, RATE)
    sounding = np.convolve(np.abs(samples), np.ones(80), "same") > 0.05
    edges = np.flatnonzero(np.diff(np.concatenate([[0], sounding.astype(int), [0]])))
    return [samples[a:b] for a, b in zip(edges[::2], edges[1::2], strict=True)]


def pitch(pip: NDArray[np.float32]) -> float:
    spectrum = np.abs(np.fft.rfft(pip, RATE))
    return float(spectrum.argmax())


def test_each_tone_has_its_own_number_of_pips() -> None:
    assert [len(pips(name)) for name in ("accepted", "asked", "out")] == [1, 2, 3]


def test_all_of_one_pitch_they_differ_in_rhythm_still() -> None:
    lengths = {name: [len(p) / RATE for p in pips(name)] for name in ("accepted", "asked", "out")}
    assert min(lengths["asked"]) > 1.8 * max(lengths["accepted"] + lengths["out"])
    seconds = {name: len(tone(name, RATE)) / RATE for name in ("accepted", "asked", "out")}
    assert seconds["accepted"] < seconds["out"] < seconds["asked"]


def test_a_question_rises_and_a_fault_falls() -> None:
    asked = [pitch(p) for p in pips("asked")]
    out = [pitch(p) for p in pips("out")]
    assert asked == sorted(asked)
    assert asked[1] > 1.3 * asked[0]
    assert out == sorted(out, reverse=True)
    assert out[0] > 1.3 * out[2]


def test_no_tone_is_no_sound_and_none_clips_or_clicks() -> None:
    assert len(tone("none", RATE)) == 0
    for name in ("accepted", "asked", "out"):
        samples = tone(name, RATE)
        assert np.abs(samples).max() < 0.5
        assert np.abs(np.diff(samples)).max() < 0.15
