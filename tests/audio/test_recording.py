"""Every kind of file is either read rightly or refused with a sentence that says what to do."""

from __future__ import annotations

import logging
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.audio.recording import HIGHEST_RATE, LOWEST_RATE, read, read_blocks
from assistant.audio.utterance import RATE
from assistant.audio.write import write_wav
from assistant.errors import AudioError

SECONDS = 1.5
TONE_HZ = 440.0


def tone(rate: int, seconds: float = SECONDS) -> np.ndarray:
    return 0.3 * np.sin(2 * np.pi * TONE_HZ * np.arange(round(seconds * rate)) / rate)


def error_of(samples: np.ndarray) -> float:
    """RMS difference from the same tone at 16 kHz, edges left out."""
    expected = tone(RATE)[: len(samples)]
    middle = slice(800, len(samples) - 800)
    return float(np.sqrt(np.mean(np.square(samples[: len(expected)][middle] - expected[middle]))))


@pytest.mark.parametrize(
    ("subtype", "tolerance"),
    [
        ("PCM_U8", 0.006),  # a step of 8 bits is 1/128
        ("PCM_16", 1e-4),
        ("PCM_24", 1e-4),
        ("PCM_32", 1e-4),
        ("FLOAT", 1e-4),
        ("DOUBLE", 1e-4),
        ("ULAW", 0.01),
        ("ALAW", 0.01),
    ],
)
@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000])
def test_wav_of_every_sample_kind_and_rate_gives_the_same_tone(
    tmp_path: Path, subtype: str, tolerance: float, rate: int
) -> None:
    path = tmp_path / "tone.wav"
    soundfile.write(path, tone(rate), rate, subtype=subtype)
    samples = read(path)
    assert samples.dtype == np.float32
    assert len(samples) == round(SECONDS * RATE)
    assert error_of(samples) < tolerance


@pytest.mark.parametrize("suffix", ["flac", "ogg", "mp3"])
def test_compressed_48_khz_stereo_gives_the_same_tone(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"tone.{suffix}"
    soundfile.write(path, np.stack([tone(48_000)] * 2, axis=1), 48_000)
    samples = read(path)
    # MP3 shifts the sound by its coder's delay, so the waveform itself can't be compared.
    assert len(samples) == pytest.approx(SECONDS * RATE, abs=RATE // 10)
    spectrum = np.abs(np.fft.rfft(samples[RATE // 4 : RATE // 4 + RATE]))
    assert np.argmax(spectrum) == TONE_HZ  # one second: bins are 1 Hz apart
    for part in samples[RATE // 4 : RATE + RATE // 4].reshape(10, -1):
        rms = float(np.sqrt(np.mean(np.square(part))))
        assert rms == pytest.approx(0.3 / np.sqrt(2), rel=0.03)


def test_stereo_is_mixed_down_to_the_mean_of_its_channels(tmp_path: Path) -> None:
    path = tmp_path / "stereo.wav"
    left = tone(RATE)
    soundfile.write(path, np.stack([left, np.zeros_like(left)], axis=1), RATE, subtype="FLOAT")
    np.testing.assert_allclose(read(path), left / 2, atol=1e-6)


@given(
    frames=st.integers(12, 30_000),  # fewer may be less than one sample at 16 kHz: refused
    rate=st.sampled_from([8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000]),
    block=st.sampled_from([0.01, 0.25, 1.0]),
)
@settings(deadline=None, max_examples=60)
def test_resampling_keeps_the_duration_to_the_sample(
    tmp_path_factory: pytest.TempPathFactory, frames: int, rate: int, block: float
) -> None:
    path = tmp_path_factory.mktemp("length") / "noise.wav"
    rng = np.random.default_rng(frames)
    soundfile.write(path, 0.1 * rng.standard_normal(frames), rate)
    total = sum(len(part) for part in read_blocks(path, block))
    assert abs(total - frames * RATE / rate) <= 1


@given(st.lists(st.floats(-1, 1, width=32), min_size=1, max_size=500))
def test_written_wav_reads_back_to_within_one_step_of_16_bits(
    tmp_path_factory: pytest.TempPathFactory, values: list[float]
) -> None:
    path = tmp_path_factory.mktemp("written") / "a.wav"
    samples = np.array(values, np.float32)
    write_wav(path, samples)
    np.testing.assert_allclose(read(path), samples, atol=1.01 / 32768)


def test_written_wav_is_16_bit_mono_and_clips_what_is_beyond_full_scale(tmp_path: Path) -> None:
    path = tmp_path / "loud.wav"
    write_wav(path, np.array([2.0, -2.0], np.float32))
    info = soundfile.info(path)
    assert (info.subtype, info.channels, info.samplerate) == ("PCM_16", 1, RATE)
    np.testing.assert_allclose(read(path), [1, -1], atol=1 / 32768)


def test_only_one_channel_is_written(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"shape \(n,\)"):
        write_wav(tmp_path / "a.wav", np.zeros((2, 2), np.float32))


def test_writing_where_there_is_no_folder_says_so(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match=r"can't be written"):
        write_wav(tmp_path / "nowhere" / "a.wav", np.zeros(10, np.float32))


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match=r"There is no file .*Check the name"):
        read(tmp_path / "nothing.wav")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(AudioError, match=r"is a folder. Name the recordings in it"):
        read(tmp_path)


def test_what_the_system_can_not_reach_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(b"x")
    with pytest.raises(AudioError, match=r"can't be reached: .* plugged in"):
        read(tmp_path / "a.wav" / "b.wav")


def test_an_empty_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "empty.wav"
    path.touch()
    with pytest.raises(AudioError, match=r"is empty .*Record it again"):
        read(path)


def test_a_recording_of_no_seconds_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "zero.wav"
    write_wav(path, np.empty(0, np.float32))
    with pytest.raises(AudioError, match=r"holds no sound"):
        read(path)


@pytest.mark.parametrize("name", ["notes.wav", "notes.txt", "notes.mp3", "notes.raw"])
def test_what_is_not_audio_is_refused(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text("guide front one oh two\n" * 100)
    with pytest.raises(AudioError, match=r"not a recording .*16-bit WAV"):
        read(path)


@pytest.mark.parametrize("kept", [4, 12, 30, 43])
def test_a_wav_cut_inside_its_header_is_refused(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "cut.wav"
    write_wav(path, tone(RATE).astype(np.float32))
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(AudioError, match=r"WAV|holds no sound"):
        read(path)


def test_a_wav_shorter_than_its_header_says_is_read_as_far_as_it_goes_with_a_warning(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "short.wav"
    write_wav(path, tone(RATE).astype(np.float32))
    whole = read(path)
    path.write_bytes(path.read_bytes()[: 44 + 2 * RATE])
    with caplog.at_level(logging.WARNING):
        samples = read(path)
    np.testing.assert_array_equal(samples, whole[:RATE])
    assert "cut short: 1.00 s of 1.50 s" in caplog.text
    assert "check the last reading" in caplog.text


def test_a_whole_wav_gives_no_warning(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = tmp_path / "whole.wav"
    write_wav(path, tone(RATE).astype(np.float32))
    with caplog.at_level(logging.WARNING):
        read(path)
    assert not caplog.text


def test_a_wav_of_unknown_length_as_a_pipe_leaves_it_is_read_whole_without_a_warning(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "streamed.wav"
    write_wav(path, tone(RATE).astype(np.float32))
    content = bytearray(path.read_bytes())
    content[4:8] = content[40:44] = b"\xff\xff\xff\xff"
    path.write_bytes(content)
    with caplog.at_level(logging.WARNING):
        assert len(read(path)) == round(SECONDS * RATE)
    assert not caplog.text


def test_a_flac_cut_in_the_middle_is_read_as_far_as_it_goes_with_a_warning(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "cut.flac"
    soundfile.write(path, 0.1 * np.random.default_rng(0).standard_normal(4 * RATE), RATE)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    with caplog.at_level(logging.WARNING):
        samples = read(path)
    assert 1.5 <= len(samples) / RATE <= 2.0
    assert "cut short" in caplog.text


@pytest.mark.parametrize(("rate", "taken"), [(LOWEST_RATE, True), (LOWEST_RATE - 1, False)])
def test_the_lowest_rate_is_read_and_one_hertz_below_is_refused(
    tmp_path: Path, rate: int, taken: bool
) -> None:
    path = tmp_path / "slow.wav"
    soundfile.write(path, tone(rate), rate)
    if taken:
        assert len(read(path)) == round(SECONDS * RATE)
    else:
        with pytest.raises(AudioError, match=r"7999 Hz.*Record again at 16000 Hz"):
            read(path)


@pytest.mark.parametrize(("rate", "taken"), [(HIGHEST_RATE, True), (HIGHEST_RATE + 1, False)])
def test_a_head_that_claims_more_than_any_recorder_takes_is_refused(
    tmp_path: Path, rate: int, taken: bool
) -> None:
    path = tmp_path / "fast.wav"
    soundfile.write(path, tone(48_000), 48_000)
    head = bytearray(path.read_bytes())
    head[24:28] = rate.to_bytes(4, "little")
    path.write_bytes(head)
    if taken:
        assert len(read(path)) == pytest.approx(SECONDS * 48_000 / rate * RATE, abs=1)
    else:
        with pytest.raises(AudioError, match=r"its head is damaged"):
            read(path)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_float_samples_that_are_no_numbers_are_refused(tmp_path: Path, value: float) -> None:
    path = tmp_path / "broken.wav"
    soundfile.write(path, np.full(100, value), RATE, subtype="FLOAT")
    with pytest.raises(AudioError, match=r"not numbers"):
        read(path)


def test_float_samples_in_other_units_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "counts.wav"
    soundfile.write(path, 32768 * tone(RATE), RATE, subtype="FLOAT")
    with pytest.raises(AudioError, match=r"beyond full scale"):
        read(path)


def test_a_file_without_the_right_to_read_it_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "locked.wav"
    write_wav(path, np.zeros(10, np.float32))
    # The tests may run as root, whom no file refuses.
    monkeypatch.setattr("os.access", lambda *_: False)
    with pytest.raises(AudioError, match=r"may not be read"):
        read(path)


def test_three_hours_are_read_in_the_memory_of_a_few_blocks(tmp_path: Path) -> None:
    path = tmp_path / "long.wav"
    rate, hours = 8_000, 3
    minute = np.zeros(60 * rate, np.int16)
    with soundfile.SoundFile(path, "w", rate, 1, subtype="PCM_U8") as file:
        for _ in range(60 * hours):
            file.write(minute)
    next(read_blocks(path))  # imports are no part of what is measured
    tracemalloc.start()
    total = sum(len(block) for block in read_blocks(path))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert total == hours * 3600 * RATE
    assert peak < 4e6  # bytes; the whole would take 691e6
