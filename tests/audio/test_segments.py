"""Utterances: every voiced sample is kept once, and the quiet around it is what it says."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from assistant.audio.edges import BELOW_SPEECH_DB, CALM_DB
from assistant.audio.segments import (
    END_QUIET,
    FEWEST_VOICED,
    LONGEST,
    LOOK_BACK,
    MARGIN,
    MEMORY,
    QUIET_NEEDED,
    Endpointer,
    utterances,
)
from assistant.audio.utterance import RATE, Utterance
from assistant.audio.voice import CHUNK

Samples = NDArray[np.float32]
CHUNK_SECONDS = CHUNK / RATE


def loud(chunk: Samples) -> float:
    """A detector that takes any loud chunk for a voice, so that the truth is known."""
    return 1.0 if float(np.sqrt(np.mean(np.square(chunk)))) > 0.01 else 0.0


def speech(seconds: float, seed: int = 0) -> Samples:
    noise = np.random.default_rng(seed).standard_normal(round(seconds * RATE))
    return (0.1 * noise).astype(np.float32)


def quiet(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), np.float32)


def found(*parts: Samples, **settings: float) -> list[Utterance]:
    return list(utterances([np.concatenate(parts)], "a.wav", detector=loud, **settings))


def blocks_of(samples: Samples, size: int) -> Iterator[Samples]:
    for start in range(0, len(samples), size):
        yield samples[start : start + size]


@given(
    parts=st.lists(st.tuples(st.floats(0.0, 4.0), st.floats(0.15, 3.0)), min_size=1, max_size=6),
    tail=st.floats(0, 2),
    size=st.sampled_from([160, 512, 1000, 16_000, 10**6]),
)
@settings(deadline=None, max_examples=60)
def test_every_voiced_sample_is_in_exactly_one_utterance_and_times_only_grow(
    parts: list[tuple[float, float]], tail: float, size: int
) -> None:
    pieces = [piece for lead, voiced in parts for piece in (quiet(lead), speech(voiced))]
    whole = np.concatenate([*pieces, quiet(tail)])
    result = list(utterances(blocks_of(whole, size), "a.wav", detector=loud))
    covered = np.zeros(len(whole), np.int64)
    position = 0.0
    for utterance in result:
        assert position <= utterance.start < utterance.end <= len(whole) / RATE
        position = utterance.end
        begin, end = round(utterance.start * RATE), round(utterance.end * RATE)
        np.testing.assert_array_equal(utterance.samples, whole[begin:end])
        covered[begin:end] += 1
    assert covered.max() == 1
    assert covered[whole != 0].min() == 1


@given(size=st.integers(1, 5000))
@settings(deadline=None, max_examples=20)
def test_the_size_of_the_blocks_changes_nothing(size: int) -> None:
    whole = np.concatenate([quiet(0.5), speech(0.6), quiet(1.0), speech(0.4), quiet(0.9)])
    expected = [(u.start, u.end) for u in utterances([whole], "a", detector=loud)]
    got = [(u.start, u.end) for u in utterances(blocks_of(whole, size), "a", detector=loud)]
    assert got == expected


@pytest.mark.parametrize("lead", [0.0, 0.05, 0.1, 0.15, 0.3, 1.0, 2.5])
def test_quiet_before_is_the_lead_in_the_file(lead: float) -> None:
    (utterance,) = found(quiet(lead), speech(1.0), quiet(1.0))
    assert utterance.quiet_before == pytest.approx(lead, abs=0.011)


@pytest.mark.parametrize("tail", [0.0, 0.05, 0.1, 0.3, 0.6])
def test_quiet_after_is_the_tail_in_the_file(tail: float) -> None:
    (utterance,) = found(quiet(0.5), speech(1.0), quiet(tail))
    assert utterance.quiet_after == pytest.approx(tail, abs=0.011)


def test_quiet_between_utterances_reaches_back_to_the_one_before() -> None:
    _, second = found(quiet(0.5), speech(1.0), quiet(1.2), speech(1.0), quiet(1.0))
    assert second.quiet_before == pytest.approx(1.2, abs=0.05)


def test_quiet_before_is_bounded_by_the_memory() -> None:
    (utterance,) = found(quiet(60), speech(1.0), quiet(1.0))
    assert utterance.quiet_before == pytest.approx(MEMORY, abs=0.1)


@pytest.mark.parametrize(("pause", "count"), [(END_QUIET - 0.07, 1), (END_QUIET + 0.07, 2)])
def test_a_pause_shorter_than_the_end_keeps_fourteen_point_five_together(
    pause: float, count: int
) -> None:
    assert len(found(quiet(1), speech(0.5), quiet(pause), speech(0.5), quiet(1))) == count


def test_the_end_may_be_set_longer() -> None:
    parts = (quiet(1), speech(0.5), quiet(1.0), speech(0.5), quiet(2))
    assert len(found(*parts)) == 2
    assert len(found(*parts, end_quiet=1.3)) == 1


@pytest.mark.parametrize(
    ("below_db", "kept"), [(BELOW_SPEECH_DB + 3, MARGIN), (BELOW_SPEECH_DB - 3, LOOK_BACK)]
)
def test_what_sounds_before_the_speech_is_kept_and_of_silence_a_margin(
    below_db: float, kept: float
) -> None:
    floor = np.float32(10 ** (-below_db / 20)) * speech(5.0, seed=2)
    said = np.concatenate([quiet(2.0), speech(1.0), quiet(2.0)])
    (utterance,) = found((said + floor).astype(np.float32))
    assert utterance.start == pytest.approx(2.0 - kept, abs=CHUNK_SECONDS)
    assert utterance.end == pytest.approx(3.0 + MARGIN, abs=CHUNK_SECONDS)


@pytest.mark.parametrize(("below_db", "calm"), [(CALM_DB + 3, True), (CALM_DB - 3, False)])
def test_a_room_is_calm_when_nothing_around_the_speech_comes_near_it(
    below_db: float, calm: bool
) -> None:
    knock = (10 ** (-below_db / 20) * speech(0.1, seed=2)).astype(np.float32)
    for parts in (
        (quiet(1.0), knock, quiet(0.5), speech(1.0), quiet(2.0)),
        (quiet(1.6), speech(1.0), quiet(0.4), knock, quiet(1.5)),
    ):
        (utterance,) = found(*parts)
        assert utterance.calm is calm
    (cut,) = found(speech(1.0), quiet(2.0))
    assert not cut.calm, "nobody knows what was before"


def test_a_soft_first_word_that_the_detector_misses_is_kept_and_the_quiet_lies_before_it() -> None:
    soft = speech(0.3) / np.float32(20)
    (utterance,) = found(quiet(1.0), soft, quiet(0.15), speech(0.8), quiet(1.0))
    assert utterance.start == pytest.approx(1.0 - MARGIN, abs=CHUNK_SECONDS)
    assert utterance.quiet_before >= 1.0 - CHUNK_SECONDS


def test_a_cut_off_soft_first_word_leaves_no_quiet() -> None:
    soft = speech(0.2) / np.float32(20)
    (utterance,) = found(soft, quiet(0.05), speech(0.8), quiet(1.0))
    assert utterance.quiet_before == 0.0


def test_steady_noise_before_the_speech_is_quiet_but_a_burst_of_it_is_not() -> None:
    noise = 0.005 * np.random.default_rng(1).standard_normal(3 * RATE).astype(np.float32)
    noise[RATE : 2 * RATE] += speech(1.0)
    (steady,) = found(noise)
    assert steady.quiet_before == pytest.approx(1.0, abs=0.05)
    noise[round(0.75 * RATE) : round(0.95 * RATE)] *= 8
    (burst,) = found(noise)
    assert burst.quiet_before == pytest.approx(0.75, abs=0.05)


@pytest.mark.parametrize(("chunks", "count"), [(FEWEST_VOICED, 1), (FEWEST_VOICED - 1, 0)])
def test_the_shortest_speech_is_kept_and_a_chunk_less_is_a_click(chunks: int, count: int) -> None:
    parts = (np.zeros(CHUNK * 20, np.float32), speech(chunks * CHUNK_SECONDS), quiet(1.0))
    assert len(found(*parts)) == count


def test_an_endless_utterance_is_split_at_its_quietest_point_and_the_cut_is_marked() -> None:
    # The detector hears a voice in the softer spot too: only the level shows where to cut.
    whole = np.concatenate([quiet(0.5), speech(2 * LONGEST - 10), quiet(1.0)])
    soft = slice(15 * RATE, round(15.2 * RATE))
    whole[soft] /= 8
    first, second = found(whole)
    assert 15.0 <= first.end <= 15.2
    assert first.end == second.start
    assert first.quiet_after == 0.0
    assert second.quiet_before == 0.0
    assert first.quiet_before == pytest.approx(0.5, abs=0.02)
    assert second.quiet_after == pytest.approx(END_QUIET, abs=0.05)


@pytest.mark.parametrize(("seconds", "count"), [(LONGEST - 0.1, 1), (LONGEST + 0.3, 2)])
def test_only_what_is_longer_than_the_longest_is_split(seconds: float, count: int) -> None:
    assert len(found(quiet(0.5), speech(seconds), quiet(1.0))) == count


def chunks_of(*parts: Samples) -> list[Samples]:
    whole = np.concatenate(parts)
    return [whole[i : i + CHUNK] for i in range(0, len(whole) // CHUNK * CHUNK, CHUNK)]


def endpointer(*parts: Samples) -> Endpointer:
    made = Endpointer("a.wav", END_QUIET, LONGEST, loud)
    for chunk in chunks_of(*parts):
        assert made.take(chunk) is None
    return made


def test_what_is_given_early_is_what_would_be_given_at_the_end() -> None:
    made = endpointer(quiet(0.5), speech(1.0), quiet(0.3))
    early, again = made.early(), made.early()
    assert early is not None
    assert again is not None
    assert early.start == again.start
    end = made.finish()
    assert end is not None
    np.testing.assert_array_equal(early.samples, end.samples)
    assert (early.quiet_before, early.quiet_after) == (end.quiet_before, end.quiet_after)


def test_ended_as_given_early_the_next_utterance_begins_behind_it_with_all_its_quiet() -> None:
    made = endpointer(quiet(0.5), speech(1.0), quiet(0.4))
    early = made.early()
    assert early is not None
    made.end_as(early)
    assert made.quiet is None
    for chunk in chunks_of(quiet(0.4), speech(0.5), quiet(0.3)):
        assert made.take(chunk) is None
    following = made.finish()
    assert following is not None
    assert early.end <= following.start
    assert following.quiet_before == pytest.approx(0.8, abs=2 * CHUNK_SECONDS)


def test_the_quiet_and_the_last_voice_of_the_open_utterance_are_told() -> None:
    made = endpointer(quiet(0.5), speech(1.0), quiet(0.3))
    assert made.quiet == pytest.approx(0.3, abs=2 * CHUNK_SECONDS)
    assert made.voiced_until == pytest.approx(1.5, abs=2 * CHUNK_SECONDS)
    assert endpointer(quiet(1.0)).quiet is None


def test_what_is_skipped_moves_the_time_on_and_no_quiet_reaches_over_it() -> None:
    made = endpointer(quiet(0.5), speech(1.0))
    made.skip(10 * RATE)
    for chunk in chunks_of(quiet(0.1), speech(0.5), quiet(0.3)):
        made.take(chunk)
    utterance = made.finish()
    assert utterance is not None
    assert utterance.start >= 11.4
    assert utterance.quiet_before == pytest.approx(0.1, abs=2 * CHUNK_SECONDS)


@pytest.mark.parametrize("at", [0.45, 1.0])
def test_over_lost_sound_an_utterance_has_no_quiet_before_it(at: float) -> None:
    made = Endpointer("a.wav", END_QUIET, LONGEST, loud)
    for place, chunk in enumerate(chunks_of(quiet(0.5), speech(1.0), quiet(0.3))):
        if place == round(at / CHUNK_SECONDS):
            made.lost_sound()
        made.take(chunk)
    utterance = made.finish()
    assert utterance is not None
    assert utterance.quiet_before < QUIET_NEEDED


def test_lost_sound_is_forgotten_after_the_utterance_it_was_lost_in() -> None:
    made = endpointer(quiet(0.5), speech(1.0))
    made.lost_sound()
    following = []
    for chunk in chunks_of(quiet(1.0), speech(0.5), quiet(0.9)):
        if (found := made.take(chunk)) is not None:
            following.append(found)
    assert [u.quiet_before < QUIET_NEEDED for u in following] == [True, False]


def test_no_block_gives_no_utterance() -> None:
    assert list(utterances([], "a")) == []
