"""Recordings: finite samples within full scale at the right rate, or an AudioError."""

from __future__ import annotations

import logging
import struct
import tempfile
from functools import cache
from pathlib import Path

import numpy as np

from assistant.audio.recording import read_blocks
from assistant.audio.utterance import RATE
from assistant.errors import AudioError

from .bytes_of_chance import Chance

SUFFIXES = ("wav", "flac", "ogg", "mp3", "raw", "aiff", "au", "w64", "caf", "txt", "sd2", "voc")
RATES = (16_000, 8_000, 7_999, 44_100, 48_000, 96_000, 0, 1, 2**31, 2**32 - 1, 11_025, 655_350)
CODINGS = (1, 3, 6, 7, 2, 17, 0xFFFE, 0, 85, 49)
MOST_SAMPLES = 2_000_000
"""Two minutes: no file of a few kB may become more."""


@cache
def folder() -> Path:
    logging.getLogger("assistant.audio.recording").setLevel(logging.ERROR)
    return Path(tempfile.mkdtemp(prefix="benchcall-fuzz-"))


@cache
def others() -> tuple[bytes, ...]:
    """The same short tone in other containers, to be spoilt."""
    import soundfile

    tone = 0.3 * np.sin(np.arange(800) / 5)
    made = []
    for name, coding in (("FLAC", "PCM_16"), ("OGG", "VORBIS"), ("MP3", "MPEG_LAYER_III")):
        path = folder() / "tone"
        soundfile.write(path, tone, RATE, format=name, subtype=coding)
        made.append(path.read_bytes())
    return tuple(made)


def seeds() -> list[bytes]:
    plain = [
        bytes([1, 0, coding, rate, 1, 1, 0, 0, 0]) + bytes(range(200))
        for coding in range(10)
        for rate in range(12)
    ]
    return [*plain, *(bytes([2, which, at, 7]) for which in range(3) for at in range(0, 250, 25))]


def check(data: bytes) -> None:
    chance = Chance(data)
    way = chance.number(3)
    if way == 0:
        tried(data[1:], chance.one_of(SUFFIXES), None)
    elif way == 1:
        content, expected = a_wav(chance)
        tried(content, "wav", expected)
    else:
        content = bytearray(chance.one_of(others()))
        while chance:
            content[chance.number(len(content))] = chance.number(256)
        tried(bytes(content), "flac", None)


def a_wav(chance: Chance) -> tuple[bytes, int | None]:
    """A file by its fields, and the samples it must give where nothing in it lies."""
    honest = chance.number(4) > 0
    coding = chance.one_of(CODINGS)
    rate = chance.one_of(RATES)
    channels = chance.one_of((1, 2, 1, 6, 0, 255, 65535))
    bits = chance.one_of((16, 8, 24, 32, 64, 0, 12))
    align = channels * bits // 8
    extra = chance.one_of((b"", b"LIST\x04\x00\x00\x00abcd", b"fact\x00\x00\x00\x00", b"junk\xff"))
    claim = chance.one_of((None, 0, 1, 2**31 - 1, 2**32 - 1, 100))
    body = chance.raw(2000)
    wild = chance.raw(64)
    if honest:
        body = body[: len(body) // max(1, align) * max(1, align)]
        claim, extra = None, b""
    head = struct.pack("<HHIIHH", coding, channels, rate, rate * align % 2**32, align % 65536, bits)
    size = len(body) if claim is None else claim
    content = b"WAVEfmt " + struct.pack("<I", 16) + head + extra + b"data"
    content += struct.pack("<I", size) + body
    content = b"RIFF" + struct.pack("<I", len(content) % 2**32) + content
    for at, value in zip(wild[::2], wild[1::2], strict=False):
        if not honest:
            content = (
                content[: at % len(content)] + bytes([value]) + content[at % len(content) + 1 :]
            )
    plain = honest and coding == 1 and bits == 16 and 1 <= channels <= 6 and body
    if plain and 8_000 <= rate <= 96_000:
        return content, round(len(body) // align * RATE / rate)
    return content, None


def tried(content: bytes, suffix: str, expected: int | None) -> None:
    path = folder() / f"sound.{suffix}"
    path.write_bytes(content)
    total = 0
    try:
        for block in read_blocks(path):
            assert block.dtype == np.float32
            assert block.ndim == 1
            assert np.isfinite(block).all()
            assert np.abs(block).max(initial=0) <= 1
            total += len(block)
            assert total <= MOST_SAMPLES
    except AudioError as refused:
        why = str(refused)
        assert str(path) in why
        assert expected is None or expected <= 1, why
        return
    finally:
        path.unlink()
    assert total > 0
    if expected is not None:
        assert abs(total - expected) <= 1, (total, expected)
