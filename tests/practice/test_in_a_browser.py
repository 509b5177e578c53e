"""The tab "Practise" in a real browser: Debian's Chromium, driven as a trainee's hand would."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from assistant.practice.log import Log
from assistant.record.store import Store
from tests.browser import chromium, next_page, until, watched
from tests.review.conftest import a_depot
from tests.review.served import Served, serving


@pytest.fixture(scope="module")
def depot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("practised")
    a_depot(home)
    with serving(home) as running:
        yield running


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as opened:
        yield opened


@pytest.fixture
def page(depot: Served, browser: Any) -> Iterator[Any]:
    """The tab, come to by the printed link."""
    # The field is filled here before Chromium has come to its autofocus, and it says so.
    with watched(browser, depot.base, forgiven=lambda said: "Autofocus" in said) as opened:
        opened.goto(depot.links[0])
        with next_page(opened):
            opened.get_by_role("link", name="Practise").click()
        yield opened


def named(page: Any) -> None:
    """Begins the exercise that is proposed, with initials."""
    page.get_by_label("Your initials").fill("A. B.")
    with next_page(page):
        page.get_by_role("button", name="Begin").first.click()


def begin(page: Any, title: str) -> None:
    named(page)
    page.goto("/practise")
    with next_page(page):
        page.get_by_role("button", name=f"Begin: {title}").click()


def say(page: Any, *lines: str) -> None:
    for line in lines:
        page.get_by_role("textbox").fill(line)
        with next_page(page):
            page.get_by_role("button", name="Say").click()


def test_an_exercise_is_dictated_judged_marked_and_no_record(depot: Served, page: Any) -> None:
    records = Store(depot.home).sessions()
    begin(page, "The first minute")
    assert page.locator("svg.scene").count() == 1
    assert "docked" not in (page.locator("svg.scene").text_content() or "")
    say(page, "guide front 102, rear 89, undocked")
    assert "guide signal rear 89" in page.content()
    say(page, "done", "none")
    assert page.get_by_role("heading", name="75 of 100: passed").count() == 1
    assert "A wrong number loses its share" in page.content()
    assert Store(depot.home).sessions() == records
    page.goto("/sessions")
    assert page.locator(".row").count() == len(records)
    [one], _ = Log(depot.home / "practice" / "practised.jsonl").read("A. B.")
    assert (one.exercise, one.marks) == ("first_minute", 75.0)


def test_a_recording_is_heard_and_what_was_missed_can_be_heard_again(page: Any) -> None:
    begin(page, "Listen: a round in the station")
    page.locator("#recording").wait_for()
    assert (
        page.evaluate(
            "fetch(document.querySelector('audio').src).then(r => r.headers.get('content-type'))"
        )
        == "audio/wav"
    )
    say(page, "docked, guide front 102, guide rear -65", "boundary front 136", "quality 100")
    say(page, "done", "none")
    page.locator("audio[src*=again]").first.wait_for()
    assert "minus two hundred and thirty seven" in page.content()
    size = "fetch(document.querySelector('audio[src*=again]').src).then(r => r.arrayBuffer())"
    assert page.evaluate(f"{size}.then(b => b.byteLength)") > 32_000


def test_the_next_line_is_typed_at_once_and_the_recording_stays_where_it_was(page: Any) -> None:
    begin(page, "Listen: a round in the station")
    page.locator("#recording").wait_for()
    page.evaluate("document.getElementById('recording').currentTime = 7")
    say(page, "docked")
    until(page, "document.activeElement.name === 'line'")
    until(page, "Math.round(document.getElementById('recording').currentTime) === 7")


def test_a_fault_is_searched_and_its_cause_named(page: Any) -> None:
    begin(page, "Find the fault: it breaks off charging")
    assert "charging: breaks off" in page.content()
    say(page, "signal quality", "contact faces", "check contact_volts")
    assert "contact voltage" in page.content()
    say(page, "cause worn charging contacts")
    assert page.get_by_role("heading", name="of 100: passed").count() == 1


def test_what_is_typed_is_shown_and_never_run(page: Any) -> None:
    begin(page, "The first minute")
    say(page, "<script>alert(1)</script><b>x</b>")
    assert page.locator("p.mine b").count() == 0
    assert "<script>alert(1)</script>" in page.locator("p.mine").first.inner_text()


def test_everything_can_be_pressed_with_a_glove_on(page: Any) -> None:
    """48 pixels each way (common practice, no source)."""
    for button in page.get_by_role("button").all():
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 47


def test_an_exercise_that_is_over_is_told(page: Any) -> None:
    answer = page.request.get("/practise/nothing")
    assert answer.status == 404
    assert "Begin it again from the list" in answer.text()
