from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.profile import Profile
from assistant.record.journal import Journal
from assistant.record.store import Store

from .saying import Ticks


@pytest.fixture(scope="session")
def profile() -> Profile:
    """The least profile that has the quantities the tests speak of: the record knows no trade."""
    quantity = {"title": "", "spoken": ("guide",), "plausible": (-9999, 9999)}
    return Profile.model_validate(
        {
            "profile": {"id": "test", "title": "Test", "version": "1", "notice": ""},
            "quantity": (
                {"id": "guide_signal", "unit": "1", **quantity},
                {"id": "battery_voltage", "unit": "V", **quantity},
            ),
        }
    )


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path, Ticks())


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.jsonl"


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    with Journal.create(path, {"session": "s"}, Ticks()) as journal:
        yield journal


@pytest.fixture
def unprivileged() -> Iterator[None]:
    """Root may write anywhere: give that right up while a test needs a folder it can't write."""
    if os.name == "nt" or os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)
