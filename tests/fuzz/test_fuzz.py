"""The short run: the same inputs each time, and all that ever broke a target."""

from __future__ import annotations

import importlib
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

FOUND = Path(__file__).parent / "found"
TARGETS = {"wording": 1500, "profiles": 60, "journal": 250, "sound": 500, "pages": 80}
"""How many inputs of chance each gets here."""


@pytest.mark.parametrize("name", TARGETS)
def test_hostile_input_breaks_nothing(name: str) -> None:
    target = importlib.import_module(f"tests.fuzz.{name}")
    for data in inputs(target.seeds(), TARGETS[name], name):
        try:
            target.check(data)
        except Exception as error:
            error.add_note(f"{name}.check({data!r})")
            raise


@pytest.mark.parametrize(
    "path", sorted(p for p in FOUND.rglob("*") if p.is_file()), ids=lambda path: path.stem
)
def test_what_broke_it_once_breaks_it_no_more(path: Path) -> None:
    importlib.import_module(f"tests.fuzz.{path.parent.name}").check(path.read_bytes())


def test_made_up_requests_come_further_than_the_door() -> None:
    """Pages shown, changes made, nothing found, nothing done: else the target would try little."""
    from tests.fuzz import pages

    for data in inputs(pages.seeds(), 250, "further than the door"):
        pages.check(data)
    assert pages.statuses >= {200, 303, 404, 409}


def inputs(seeds: list[bytes], many: int, of: str) -> Iterator[bytes]:
    """Bytes of chance, and seeds with a few bytes changed; the same for the same name ``of``."""
    chance = random.Random(of)
    for _ in range(many):
        if chance.random() < 0.5:
            data = bytearray(chance.choice(seeds))
            for _ in range(chance.randrange(1, 6)):
                data[chance.randrange(len(data))] = chance.randrange(256)
        else:
            data = bytearray(chance.randbytes(chance.choice([5, 11, 21, 41])))
        yield bytes(data)
