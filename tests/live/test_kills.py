"""kill -9 during live dictation: nothing that was read back is ever lost."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from tests.live.kills import kill_while_dictating

KILLS = int(os.environ.get("BENCHCALL_KILLS", "12"))
"""By hand: python tests/live/kills.py --kills 500"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
def test_no_reading_that_was_read_back_is_lost_or_there_twice(tmp_path: Path) -> None:
    counted = kill_while_dictating(tmp_path, KILLS, seed=1)
    assert counted.kills == KILLS
    assert counted.acknowledged > KILLS / 3
    assert (counted.lost, counted.twice) == (0, 0)
