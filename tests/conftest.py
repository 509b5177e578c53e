"""No test reads or writes the user's sessions or models; no test is decided by time."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, settings

# A shared machine may stand still for a moment.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")


@pytest.fixture(scope="session", autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory) -> str:
    os.environ["BENCHCALL_HOME"] = str(tmp_path_factory.mktemp("benchcall-home"))
    return os.environ["BENCHCALL_HOME"]
