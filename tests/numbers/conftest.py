from __future__ import annotations

import pytest

from assistant.numbers.in_words import Numbers
from assistant.profile import load_spoken


@pytest.fixture(scope="session")
def numbers() -> Numbers:
    return Numbers(load_spoken().numbers)
