"""Where the user's own data lie."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from assistant.home import default_home


def test_benchcall_home_names_the_folder_the_users_own_folder_too(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("BENCHCALL_HOME", "~/bench")
    assert default_home() == tmp_path / "bench"


@pytest.mark.parametrize("unset", [True, False])
def test_else_it_is_where_this_system_keeps_such_data(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, unset: bool
) -> None:
    monkeypatch.setattr(platformdirs, "user_data_path", lambda name, **_: tmp_path / name)
    monkeypatch.setenv("BENCHCALL_HOME", "")
    if unset:
        monkeypatch.delenv("BENCHCALL_HOME")
    assert default_home() == tmp_path / "benchcall"
