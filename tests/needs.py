"""Tests that need a system package: skipped where it is absent, failed where it was promised.

The README's test command needs no system package. The continuous check installs them all and sets
``BENCHCALL_WHOLE=1``, so that a test that would be skipped there fails and says what is missing.
"""

from __future__ import annotations

import os
import shutil

import pytest


def need(present: bool, what: str) -> None:
    """Go on only with ``what`` ("Chromium: apt install chromium") on this machine."""
    if present:
        return
    if os.environ.get("BENCHCALL_WHOLE") == "1":
        pytest.fail(f"the whole check was promised, but this is missing: {what}")
    pytest.skip(f"not on this machine: {what}")


def need_command(name: str, package: str) -> str:
    """The path of a system command, from the named system package."""
    path = shutil.which(name)
    need(path is not None, f"{name} (system package {package})")
    assert path is not None
    return path
