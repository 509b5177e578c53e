"""The pages in a real browser: Debian's Chromium, driven as a supervisor's hand would."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from assistant.open_assistant import open_assistant
from assistant.profile import load_profile
from assistant.record.store import Store
from tests.browser import chromium, next_page, until, watched

from .conftest import Told, a_depot, a_heard_session
from .served import Served, serving

GLOVED = 48
"""Pixels that a thing to press must measure each way (common practice, no source)."""


@pytest.fixture(scope="module")
def depot(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, Told]]:
    home = tmp_path_factory.mktemp("browsed")
    told = a_depot(home)
    with serving(home) as running:
        yield running, told


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as opened:
        yield opened


@pytest.fixture
def page(depot: tuple[Served, Told], browser: Any) -> Iterator[Any]:
    """A page that came in by the printed link."""
    with watched(browser, depot[0].base) as opened:
        opened.goto(depot[0].links[0])
        yield opened


def heard(depot: tuple[Served, Told]) -> tuple[str, str]:
    return a_heard_session(Store(depot[0].home))


def test_open_search_and_filter(depot: tuple[Served, Told], page: Any) -> None:
    assert page.get_by_role("heading", level=1).inner_text() == "What needs you today"
    page.get_by_placeholder("Unit, complaint").fill("gate rain")
    with next_page(page):
        page.get_by_role("button", name="Search").click()
    assert page.locator(f'a[href="/sessions/{depot[1].faulty}"]').count() == 1
    page.get_by_text("Narrow down").click()
    page.get_by_label("Outcome").select_option("repair proven")
    with next_page(page):
        page.get_by_role("button", name="Show").click()
    assert page.locator(".row").count() == 1
    with next_page(page):
        page.locator(".row").click()
    assert page.url.endswith(depot[1].proven)


def test_the_sound_plays_and_can_be_moved_in(depot: tuple[Served, Told], page: Any) -> None:
    session, sound = heard(depot)
    page.goto(f"/sessions/{session}")
    with page.expect_response(lambda r: r.url.endswith(f"{sound}.wav")) as answer:
        page.locator("#e2 a[data-play]").click()
    assert answer.value.status == 206
    until(page, "document.querySelector('#player audio').currentTime > 0.2")
    assert page.evaluate("document.querySelector('#player audio').duration") == pytest.approx(2)
    page.evaluate("document.querySelector('#player audio').currentTime = 1.5")
    until(page, "document.querySelector('#player audio').currentTime > 1.6")
    assert page.locator("#playing").inner_text() == "guide signal front 102"
    whole = page.request.get(f"/sessions/{session}/sounds/{sound}.wav").body()
    assert hashlib.sha256(whole).hexdigest() == sound


def test_correct_answer_and_sign_off_by_keyboard_alone(
    depot: tuple[Served, Told], page: Any
) -> None:
    session, _ = heard(depot)
    page.goto(f"/sessions/{session}")
    with next_page(page):
        page.locator("#e2").get_by_role("link", name="Correct").press("Enter")
    page.get_by_role("textbox", name="Value").fill("112")
    page.get_by_label("Reason").first.fill("the sound says one one two")
    page.get_by_label("Your initials").first.fill("MB")
    with next_page(page):
        page.get_by_label("Your initials").first.press("Enter")
    assert "Corrected by MB" in page.locator("#er2").inner_text()
    assert page.locator("#er2 s").inner_text() == "guide signal front 102, docked"
    with next_page(page):
        page.locator("#e3").get_by_role("link", name="Answer").press("Enter")
    assert page.get_by_role("textbox", name="Value").input_value() == ""
    page.get_by_role("textbox", name="Value").fill("-16")
    page.get_by_label("Reason").first.fill("clear on the recording")
    with next_page(page):
        page.get_by_role("textbox", name="Value").press("Enter")
    assert page.locator("#er3 .figure").inner_text() == "−16"
    head = Store(depot[0].home).read(session).head
    with next_page(page):
        page.get_by_role("button", name="Sign off").press("Enter")
    assert head[:8] in page.locator("#signature").inner_text()
    assert page.get_by_role("button", name="Sign off").count() == 0
    assert "signed off by MB" in page.locator("p.needs").inner_text()


def test_a_correction_that_comes_too_late_is_told_in_words(
    depot: tuple[Served, Told], page: Any, browser: Any
) -> None:
    session, _ = heard(depot)
    context = browser.new_context(base_url=depot[0].base)
    second = context.new_page()
    second.goto(depot[0].links[0])
    for tab in (page, second):
        tab.goto(f"/sessions/{session}/entries/2")
        tab.get_by_label("Reason").first.fill("misheard")
        tab.get_by_label("Your initials").first.fill("MB" if tab is page else "RT")
        tab.get_by_role("textbox", name="Value").fill("112" if tab is page else "113")
    for tab in (page, second):
        with next_page(tab):
            tab.get_by_role("button", name="Enter the correction").click()
    assert "entry r2 took its place" in second.locator("main").inner_text()
    assert Store(depot[0].home).read(session).readings[-1].value == "112"
    context.close()


def test_exports_come_down_as_files(depot: tuple[Served, Told], page: Any) -> None:
    session = depot[1].faulty
    page.goto(f"/sessions/{session}")
    for kind in ("CSV", "XLSX", "JSON"):
        with page.expect_download() as download:
            page.get_by_role("link", name=kind).click()
        assert download.value.suggested_filename == f"{session}.{kind.lower()}"
        assert Path(download.value.path()).stat().st_size > 200


def test_the_page_prints_with_the_head_and_without_its_buttons(
    depot: tuple[Served, Told], page: Any
) -> None:
    page.goto(f"/sessions/{depot[1].faulty}")
    assert page.pdf(format="A4").startswith(b"%PDF")
    page.emulate_media(media="print")
    assert not page.locator("nav").is_visible()
    assert not page.get_by_role("link", name="Correct").first.is_visible()
    assert page.locator("#signature .hash.big").is_visible()
    page.goto(f"/sessions/{depot[1].faulty}/report.html")
    assert page.pdf(format="A4").startswith(b"%PDF")


def test_the_screen_at_the_bench_follows_what_is_said(
    depot: tuple[Served, Told], page: Any
) -> None:
    page.goto(depot[0].links[1])
    until(page, "document.getElementById('live-state').textContent === 'Live'")
    assistant = open_assistant(Store(depot[0].home), load_profile(), unit="77")
    assistant.type("battery voltage nineteen volts")
    until(page, "document.getElementById('live-unit').textContent === 'Unit 77'")
    until(page, "document.getElementById('live-figure').textContent === '19 V'")
    assistant.type("guide front one oh two")
    until(page, "document.getElementById('live-figure').textContent === '102'")
    assert page.locator("#live-question").inner_text() == "docked or undocked?"
    assert page.locator("#live-verdict").inner_text() == "? open"
    assert "19 V" in page.locator("#live-before").inner_text()
    assistant.close()


def test_everything_to_press_is_large_enough_for_gloves_at_phone_width(
    depot: tuple[Served, Told], browser: Any
) -> None:
    context = browser.new_context(
        base_url=depot[0].base, viewport={"width": 360, "height": 740}, has_touch=True
    )
    phone = context.new_page()
    phone.goto(depot[0].links[0])
    for path in (
        "/",
        "/sessions",
        "/units",
        "/depot",
        "/live",
        f"/sessions/{depot[1].heard}",
        f"/sessions/{depot[1].heard}/entries/2",
    ):
        phone.goto(path)
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360, path
        small = phone.evaluate(
            """(least) => [...document.querySelectorAll(
                "button, a.button, nav a, a.row, summary, select, .choice, textarea, .bars a, "
                + "input:not([type=hidden]):not([type=radio])")]
                .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < least)
                .map((e) => e.outerHTML.slice(0, 90))""",
            GLOVED,
        )
        assert small == [], path
    context.close()


def test_without_script_the_pages_work_too(depot: tuple[Served, Told], browser: Any) -> None:
    session, sound = heard(depot)
    context = browser.new_context(base_url=depot[0].base, java_script_enabled=False)
    plain = context.new_page()
    plain.goto(depot[0].links[0])
    plain.goto(f"/sessions/{session}")
    link = plain.locator("#e2 a.play").get_attribute("href")
    assert link == f"/sessions/{session}/sounds/{sound}.wav"
    plain.get_by_label("Note").fill("looked at")
    plain.locator("#notes").get_by_label("Your initials").fill("MB")
    with next_page(plain):
        plain.get_by_role("button", name="Add the note").click()
    assert "Note by MB" in plain.locator("#lived").inner_text()
    plain.goto("/live")
    assert plain.locator("#live-unit").inner_text().startswith("Unit")
    context.close()


def test_words_are_legible_in_light_and_dark(depot: tuple[Served, Told], browser: Any) -> None:
    """WCAG 2.2, 1.4.3: contrast 4.5 to 1 at least, by its formula of relative luminance."""
    for scheme in ("light", "dark"):
        context = browser.new_context(base_url=depot[0].base, color_scheme=scheme)
        opened = context.new_page()
        opened.goto(depot[0].links[0])
        opened.goto(f"/sessions/{depot[1].faulty}")
        colours = opened.evaluate(
            """() => {
              const style = getComputedStyle(document.documentElement);
              return Object.fromEntries(["paper", "panel", "caution", "ink", "quiet", "out",
                "suspect", "ok", "asked", "link", "caution-ink"]
                .map((n) => [n, style.getPropertyValue(`--${n}`).trim()]));
            }"""
        )
        for words in ("ink", "quiet", "out", "suspect", "ok", "asked", "link"):
            for ground in ("paper", "panel"):
                assert contrast(colours[words], colours[ground]) >= 4.5, (scheme, words, ground)
        assert contrast(colours["caution-ink"], colours["caution"]) >= 4.5
        context.close()


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
