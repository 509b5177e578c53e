"""Which device is meant, with PortAudio stood in for."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.errors import UnknownNameError
from assistant.live.devices import chosen, listed

HERE = [("Built-in", 2, 2), ("Workshop headset", 1, 2), ("Headset base", 1, 0), ("Horn", 0, 2)]


@pytest.fixture(autouse=True)
def devices(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[dict[str, object]]:
    here: list[dict[str, object]] = [
        {"name": name, "max_input_channels": takes, "max_output_channels": gives}
        for name, takes, gives in HERE
    ]
    module = SimpleNamespace(query_devices=lambda: here)
    monkeypatch.setitem(sys.modules, "sounddevice", module)  # type: ignore[arg-type]
    monkeypatch.setenv("BENCHCALL_HOME", str(tmp_path))
    return here


def test_nothing_chosen_is_the_systems_own() -> None:
    assert chosen("input", "") is None


@pytest.mark.parametrize("said", ["1", "workshop", "Workshop headset", "WORKSHOP HEADSET"])
def test_a_device_is_named_by_number_or_part_of_its_name(said: str) -> None:
    assert chosen("input", said) == "Workshop headset"


def test_the_last_choice_is_remembered_for_each_kind() -> None:
    chosen("input", "workshop")
    chosen("output", "horn")
    assert chosen("input", "") == "Workshop headset"
    assert chosen("output", "") == "Horn"
    assert listed().count("(chosen last)") == 2


def test_a_remembered_device_that_is_not_here_is_not_waited_for(
    devices: list[dict[str, object]],
) -> None:
    chosen("input", "workshop")
    del devices[1]
    assert chosen("input", "") is None


@pytest.mark.parametrize(("said", "why"), [("headset", "Several"), ("desk", "no microphone")])
def test_what_is_not_one_device_is_refused_with_the_list(said: str, why: str) -> None:
    with pytest.raises(UnknownNameError, match=why) as error:
        chosen("input", said)
    assert "Workshop headset" in str(error.value)


def test_a_device_without_sound_to_give_is_no_microphone() -> None:
    with pytest.raises(UnknownNameError):
        chosen("input", "horn")


def test_where_there_is_no_device_the_list_says_so(devices: list[dict[str, object]]) -> None:
    devices.clear()
    assert listed().count("none is there") == 2


def test_a_damaged_memory_is_no_hindrance(tmp_path: Path) -> None:
    (tmp_path / "sound_devices.json").write_text("[1", "utf-8")
    assert chosen("input", "") is None


def test_the_command_lists_the_devices_and_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.live.devices.listed", lambda: "0 headset")
    done = CliRunner().invoke(app, ["listen", "--list-devices"])
    assert (done.exit_code, done.output) == (0, "0 headset\n")
