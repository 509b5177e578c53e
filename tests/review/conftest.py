"""A depot of four invented sessions, served as a supervisor would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from assistant.profile import load_profile
from assistant.record.store import Store
from tests.depot.hollin_bank import ASKED, FAULTY, PROVEN, Bench
from tests.record.saying import reading

from .served import Served, serving

RATE = 16_000


@dataclass(frozen=True, slots=True)
class Told:
    """The ids of the sessions, and the hash of the one sound."""

    faulty: str
    proven: str
    asked: str
    heard: str
    sound: str


def tone(seconds: float = 2.0) -> np.ndarray:
    at = np.arange(int(seconds * RATE)) / RATE
    return (0.2 * np.sin(2 * np.pi * 440 * at)).astype(np.float32)


def a_heard_session(store: Store) -> tuple[str, str]:
    """One session with a sound: a reading that both ears had, and one that is asked about."""
    with store.create(load_profile(), who="KL", unit="31") as record:
        sound = record.keep_audio(tone())
        assert sound is not None
        record.enter(reading("102"), source="31.wav", audio=sound)
        record.enter(
            reading("60", position="rear", status="asked", doubts=("value",)),
            source="31.wav",
            audio=sound,
        )
        record.finish()
        return record.session.id, sound


def a_depot(home: Path) -> Told:
    bench = Bench(home)
    faulty = bench.session(*FAULTY, unit="14")
    proven = bench.session(*PROVEN, unit="23")
    asked = bench.session(*ASKED, unit="7", closed=False)
    heard, sound = a_heard_session(bench.store)
    return Told(faulty, proven, asked, heard, sound)


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Told]:
    home = tmp_path_factory.mktemp("depot")
    return home, a_depot(home)


@pytest.fixture(scope="session")
def told(shared: tuple[Path, Told]) -> Told:
    return shared[1]


@pytest.fixture(scope="session")
def served(shared: tuple[Path, Told]) -> Iterator[Served]:
    """One server for every test that does not change what the others look at."""
    with serving(shared[0], "--who", "MB") as running:
        yield running
