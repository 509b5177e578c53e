from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser

import pytest
from hollin_bank import DIAGNOSIS, HOSTILE
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.profile import load_profile
from assistant.record.session import Note, Session
from assistant.report import Report, report_of
from assistant.report.html import to_html

# Elements without an end tag: the HTML standard, section 13.1.2.
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr"}


class Page(HTMLParser):
    """Checks that elements nest, and collects tags, attributes and words."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []
        self.words = ""
        self.feed(html)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words += f"{data} "


@pytest.fixture(scope="module")
def html(report: Report) -> str:
    return to_html(report)


def test_the_page_is_well_formed_and_needs_nothing_from_elsewhere(html: str) -> None:
    page = Page(html)
    assert not page.tags & {"script", "link", "iframe", "object", "img", "embed", "form"}
    assert "http:" not in html
    assert "https:" not in html
    assert "@import" not in html
    assert "url(" not in html.replace("url(#", "")
    assert not [name for name, _ in page.attributes if name.startswith("on")]
    assert all(
        value is not None and value.startswith("#")
        for name, value in page.attributes
        if name in ("href", "xlink:href", "src")
    )


def test_no_id_is_used_twice(html: str) -> None:
    ids = [value for name, value in Page(html).attributes if name == "id"]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize(
    "words",
    [
        "Unit 47",
        "KV",
        "2026-05-04 08:09 UTC",
        "9f2cab34" * 8,
        "Caution: Isolate the supply.",
        "heard guide_signal rear -65",
        "open or loaded?",
        "front 46 is below the limit 67",
        "87 of 100",
        "should show, but it is off scale",
        "Not ready for use.",
        "Stop button: passes or fails?",
        "seal at the hatch looks tired",
        "not understood, kept as heard",
        "gone: 98 after 46",
        "The repair is not proven yet.",
        "One fleet",
    ],
)
def test_the_page_tells(html: str, words: str, report: Report) -> None:
    if words == "One fleet":
        words = report.profile.profile.notice
    assert words in re.sub(r"\s+", " ", Page(html).words)


def test_a_verdict_has_a_sign_and_a_word_beside_its_colour(html: str) -> None:
    text = re.sub(r"\s+", " ", Page(html).words)
    for mark in ("! suspect", "✕ fault", "✓ in tolerance", "– not judged here", "? still open"):
        assert mark in text


def test_the_caution_stands_before_the_step_it_belongs_to(html: str) -> None:
    assert html.index("Caution: Isolate the supply.") < html.index("Next: First dock the mower")
    assert html.index("Isolate the supply before digging") < html.index("Lay it straight")


def test_what_was_replaced_is_struck_and_visible(html: str) -> None:
    assert re.search(r"<s>guide signal front 64, undocked</s>\s*now 46", html)
    assert re.search(r"<s>guide signal rear 7, undocked</s>\s*withdrawn", html)


def test_the_chart_takes_the_page_s_ink_and_names_its_numbers(html: str) -> None:
    [svg] = re.findall(r'<figure class="chart">(.*?)</figure>', html, re.S)
    assert "currentColor" in svg
    assert "guide signal, docked: front 102, rear −65" in svg


def test_a_page_without_pairs_has_no_chart(make: Callable[..., Report]) -> None:
    assert "<figure" not in to_html(make(readings=()))


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_words_stay_words(make: Callable[..., Report], hostile: str) -> None:
    html = to_html(make(notes=(Note("30", hostile),), unit=hostile, who=hostile, readings=()))
    page = Page(html)
    assert not page.tags & {"script", "img"}
    assert "\x1b" not in html
    assert "\u202e" not in html
    assert "49" not in page.words.replace(hostile, "").split("Notes")[-1].split("Replaced")[0]


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet=st.characters(), max_size=60))
def test_any_note_keeps_the_page_well_formed(words: str) -> None:
    session = Session("s", "robot_mower", notes=(Note("1", f"<b {words}"),))
    page = Page(to_html(report_of(session, load_profile("robot_mower"), DIAGNOSIS)))
    assert "script" not in page.tags
