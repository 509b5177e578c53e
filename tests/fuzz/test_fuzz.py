"""The short run: the same inputs each time, and all that ever broke a target."""

from __future__ import annotations

import importlib
import random
from pathlib import Path

import pytest

FOUND = Path(__file__).parent / "found"
TARGETS = {"wording": 2500, "profiles": 60, "journal": 500, "sound": 800, "pages": 150}
"""How many inputs of chance each gets here."""


@pytest.mark.parametrize("name", TARGETS)
def test_hostile_input_breaks_nothing(name: str) -> None:
    target = importlib.import_module(f"tests.fuzz.{name}")
    for data in inputs(name, target.seeds()):
        try:
            target.check(data)
        except Exception as error:
            error.add_note(f"{name}.check({data!r})")
            raise


@pytest.mark.parametrize("path", sorted(FOUND.rglob("*.bin")), ids=lambda path: path.stem)
def test_what_broke_it_once_breaks_it_no_more(path: Path) -> None:
    importlib.import_module(f"tests.fuzz.{path.parent.name}").check(path.read_bytes())


def inputs(name: str, seeds: list[bytes]) -> list[bytes]:
    """Bytes of chance, and seeds with a few bytes changed."""
    chance = random.Random(name)
    made = []
    for _ in range(TARGETS[name]):
        if chance.random() < 0.5:
            data = bytearray(chance.choice(seeds))
            for _ in range(chance.randrange(1, 6)):
                data[chance.randrange(len(data))] = chance.randrange(256)
        else:
            data = bytearray(chance.randbytes(chance.choice([5, 11, 21, 41, 91])))
        made.append(bytes(data))
    return made
