"""Voice activity works on one thread, and leaves the environment as it was."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

ALONE = """
import os
import time
import numpy as np
from assistant.audio.voice import CHUNK, VoiceActivity
before = os.environ.get("OMP_THREAD_LIMIT")
detect = VoiceActivity()
sound = np.random.default_rng(1).normal(0, 0.1, CHUNK).astype(np.float32)
assert 0 <= detect(sound) <= 1
assert os.environ.get("OMP_THREAD_LIMIT") == before
if os.path.isdir("/proc/self/task"):
    assert len(os.listdir("/proc/self/task")) == 1, "its threads wait for one another by spinning"
"""


@pytest.mark.parametrize("limit", [None, "3"])
def test_voice_activity_starts_no_threads_and_leaves_the_environment(limit: str | None) -> None:
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    alone.pop("OMP_THREAD_LIMIT", None)
    if limit is not None:
        alone["OMP_THREAD_LIMIT"] = limit
    done = subprocess.run([sys.executable, "-c", ALONE], env=alone, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
