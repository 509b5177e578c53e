"""The report of the session that hollin_bank.py tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hollin_bank import DIAGNOSIS, SESSION

from assistant.diagnosis.finding import Diagnosis
from assistant.profile import load_profile
from assistant.profile.schema import Profile
from assistant.report import Report, report_of


@pytest.fixture(scope="session")
def profile() -> Profile:
    return load_profile("robot_mower")


@pytest.fixture(scope="session")
def make(profile: Profile) -> Callable[..., Report]:
    """A report with some of the session's fields, or the diagnosis, put otherwise."""

    def make(diagnosis: Diagnosis = DIAGNOSIS, **fields: Any) -> Report:
        return report_of(replace(SESSION, **fields), profile, diagnosis)

    return make


@pytest.fixture(scope="session")
def report(make: Callable[..., Report]) -> Report:
    return make()
