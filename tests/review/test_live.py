"""The screen at the bench follows the journal as it grows."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import anyio
import httpx
import pytest

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from assistant.review.pages import live as page
from assistant.review.running import Running
from assistant.shipped import shipped

from .served import serving


def told(lines: Iterator[str]) -> dict[str, Any]:
    """The next event's data; comments are skipped."""
    for line in lines:
        if line.startswith("data: "):
            data: dict[str, Any] = json.loads(line.removeprefix("data: "))
            return data
    pytest.fail("the stream ended")


def test_a_reading_is_on_the_screen_once_it_is_in_the_journal(tmp_path: Path) -> None:
    store = Store(tmp_path)
    with serving(tmp_path) as running, running.visitor() as client:
        with client.stream("GET", "/live/events") as events:
            assert events.headers["Content-Type"].startswith("text/event-stream")
            lines = events.iter_lines()
            assert "No session yet" in told(lines)["note"]
            assistant = open_assistant(store, load_profile(), unit="14", who="KL")
            assistant.type("guide front one oh two, undocked")
            while (shown := told(lines))["figure"] != "102":
                assert shown["figure"] == ""
            assert shown["unit"] == "Unit 14"
            assert shown["label"] == "guide signal front"
            assert shown["context"] == "undocked"
            assert shown["verdict"] == "not enough to judge"
            assistant.type("guide rear ninety eight, undocked")
            while (shown := told(lines))["figure"] == "102":
                pass
            assert shown["verdict"] == "in tolerance"
            assert [row["figure"] for row in shown["before"]] == ["102"]
            assistant.close()
        assert "guide signal rear" in client.get("/live").text


def test_browsers_that_go_away_leave_nothing_running(tmp_path: Path) -> None:
    """More streams are opened and dropped than the server takes at once."""
    with serving(tmp_path) as running, running.visitor() as client:
        for _ in range(250):
            with client.stream("GET", "/live/events") as events:
                next(events.iter_lines())
        assert client.get("/").status_code == 200


def test_of_several_jobs_the_one_written_last_is_shown(tmp_path: Path) -> None:
    store = Store(tmp_path)
    running = Running(store)
    assistant = open_assistant(store, load_profile())
    assistant.type("unit one four")
    assistant.type("guide front one oh two, undocked")
    assistant.type("unit two three")
    assistant.type("guide front ninety, undocked")
    assert (running.look() or {})["unit"] == "Unit 23"
    assert running.look() is None
    assistant.type("unit one four")
    assistant.type("guide front one oh three, undocked")
    shown = running.look() or {}
    assert (shown["unit"], shown["figure"]) == ("Unit 14", "103")
    assistant.close()


def test_an_open_question_and_a_caution_are_on_the_screen(tmp_path: Path) -> None:
    store = Store(tmp_path)
    assistant = open_assistant(store, load_profile(), unit="7")
    assistant.type("guide front one oh two")
    shown = Running(store).look() or {}
    assert shown["question"] == "docked or undocked?"
    assert (shown["sign"], shown["verdict"]) == ("?", "open")
    assistant.type("battery case swollen")
    assert "Do not charge, press or pierce" in (Running(store).look() or {})["caution"]
    assistant.close()


def test_a_journal_that_breaks_is_told_and_stops_nothing(tmp_path: Path) -> None:
    store = Store(tmp_path)
    assistant = open_assistant(store, load_profile(), unit="7")
    assistant.type("guide front one oh two, undocked")
    running = Running(store)
    running.look()
    path = store.path("last") / "journal.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"102"', b'"9102"'))
    assert "damaged" in (running.look() or {})["note"]
    assistant.close()


def test_a_trade_that_is_not_here_is_told_beside_the_unit(tmp_path: Path) -> None:
    own = tmp_path / "orchard.toml"
    text = (shipped("grammars") / "garden_tractor.toml").read_text("utf-8")
    own.write_text(text.replace('id = "garden_tractor"', 'id = "orchard"', 1), "utf-8")
    store = Store(tmp_path)
    with store.create(load_profile(str(own)), unit="3"):
        now = Running(store).look() or {}
    assert now["unit"] == "Unit 3"
    assert "put the file orchard.toml into" in now["note"]


def test_no_session_at_all_waits_for_one(tmp_path: Path) -> None:
    store = Store(tmp_path / "home")
    running = Running(store)
    assert "as soon as benchcall listens" in (running.look() or {})["note"]
    store.folder.mkdir(parents=True)
    assert running.look() is None


@pytest.mark.parametrize(("gone", "over"), [(True, False), (False, True)])
def test_the_stream_ends_when_the_browser_is_gone_or_signed_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, gone: bool, over: bool
) -> None:
    monkeypatch.setattr(page, "EVERY", 0)
    monkeypatch.setattr(page, "STILL_HERE", 1)

    class Browser:
        looks = 0
        state = SimpleNamespace(still_in=lambda: not over)

        async def is_disconnected(self) -> bool:
            self.looks += 1
            return gone and self.looks > 3

    async def heard() -> list[str]:
        stream = page.told(Browser(), Running(Store(tmp_path)))  # type: ignore[arg-type]
        return [piece async for piece in stream]

    pieces = anyio.run(heard)
    assert pieces[0].startswith("retry")
    assert pieces[1].startswith("event: session")
    assert pieces[2:] == ([": still here\n\n"] * 2 if gone else [])


def test_a_stranger_gets_no_stream(tmp_path: Path) -> None:
    with serving(tmp_path) as running, httpx.Client(base_url=running.base) as stranger:
        assert stranger.get("/live/events").status_code == 401
