"""Pages for who can't see well, can't use a mouse, or is made dizzy by what moves."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest

from assistant import practice, report, review
from assistant.practice.library import Library

from .accessible import barriers
from .conftest import Told
from .served import Served, csrf

CSS = {
    "the pages": Path(review.__file__).parent / "static" / "review.css",
    "the practice": Path(practice.__file__).parent / "practise.css",
    "the report": Path(report.__file__).parent / "page.html.jinja",
}
SCHEMES = {
    "light": r"^:root \{([^}]*)\}",
    "dark": r"prefers-color-scheme: dark\) \{\s*:root \{([^}]*)\}",
    "print": r"@media print \{.*?:root \{([^}]*)\}",
}
WORDS = ("ink", "quiet", "out", "suspect", "ok", "asked", "link")
GROUNDS = ("paper", "panel")


def colours(css: str, scheme: str) -> dict[str, str]:
    found = re.search(SCHEMES[scheme], css, re.S | re.M)
    assert found is not None, scheme
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]+)", found[1]))


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance of sRGB."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * c for c in colour[1:])
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_is_that_of_the_standard() -> None:
    """WCAG 2.2: black on white is 21 to 1, a colour on itself 1 to 1. #767676 on white is the
    lightest grey that passes 4.5 to 1, from memory."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#abcdef", "#abcdef") == 1
    assert contrast("#767676", "#fff") >= 4.5 > contrast("#777777", "#fff")


@pytest.mark.parametrize(("name", "scheme"), [*product(("the pages", "the report"), SCHEMES)])
def test_words_stand_out_from_every_ground(name: str, scheme: str) -> None:
    """WCAG 2.2, 1.4.3, level AA: 4.5 to 1."""
    told = colours(CSS[name].read_text("utf-8"), scheme)
    for words, ground in product(set(WORDS) & set(told), GROUNDS):
        assert contrast(told[words], told[ground]) >= 4.5, (words, ground)
    assert contrast(told["caution-ink"], told["caution"]) >= 4.5
    assert contrast(told["paper"], told["quiet"]) >= 4.5, "a button that is pointed at"


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_edges_of_fields_and_the_ring_of_the_focus_can_be_seen(scheme: str) -> None:
    """WCAG 2.2, 1.4.11 and 2.4.13: 3 to 1."""
    css = CSS["the pages"].read_text("utf-8")
    told = colours(css, scheme)
    assert "border: 2px solid var(--quiet)" in css
    assert ":focus-visible { outline: 3px solid var(--link)" in css
    for edge, ground in product(("quiet", "link", "ink"), GROUNDS):
        assert contrast(told[edge], told[ground]) >= 3


@pytest.mark.parametrize("name", CSS)
def test_nothing_moves_by_itself(name: str) -> None:
    """WCAG 2.2, 2.2.2 and 2.3.3: there is nothing to switch off for who asks for less motion."""
    css = CSS[name].read_text("utf-8")
    moving = re.findall(r"\b(?:animation|transition|scroll-behavior|@keyframes)\b", css)
    assert moving == [] or "prefers-reduced-motion: no-preference" in css


def test_what_is_focused_is_never_without_its_ring() -> None:
    """Only the page as a whole, which takes the focus from the skip link, has none."""
    css = CSS["the pages"].read_text("utf-8")
    assert re.findall(r"([^{}]+)\{[^}]*outline: none", css) == ["\nmain:focus "]


PAGES = (
    "/",
    "/sessions",
    "/sessions?search=gate",
    "/units",
    "/units/14",
    "/depot",
    "/live",
    "/practise",
    "/sessions/nobody",
)


@pytest.mark.parametrize("path", PAGES)
def test_a_page_can_be_read_aloud_and_walked_through(served: Served, path: str) -> None:
    with served.visitor() as client:
        assert barriers(client.get(path).text) == []


def test_a_session_and_its_entries_can_be_read_aloud(served: Served, told: Told) -> None:
    with served.visitor() as client:
        for session in (told.faulty, told.proven, told.asked, told.heard):
            assert barriers(client.get(f"/sessions/{session}").text) == []
            assert barriers(client.get(f"/sessions/{session}/report.html").text) == []
        for entry in ("1", "2"):
            page = client.get(f"/sessions/{told.heard}/entries/{entry}").text
            assert barriers(page) == []


def test_the_door_can_be_read_aloud(served: Served) -> None:
    with served.stranger() as client:
        assert barriers(client.get("/sign-in").text) == []


@pytest.mark.parametrize("name", ["first_minute", "listen_docked", "fault_contacts"])
def test_an_exercise_can_be_read_aloud_to_its_end(served: Served, name: str) -> None:
    assert Library().find(name)
    with served.visitor() as client:
        fields = {"csrf": csrf(client), "who": "AB"}
        page = client.post(f"/practise/begin/{name}", data=fields).headers["Location"]
        assert barriers(client.get(page).text) == []
        for line in ("docked guide front one oh two", "done", "none", "cause 3"):
            client.post(page, data={"csrf": fields["csrf"], "line": line})
        assert barriers(client.get(page).text) == []


@pytest.mark.parametrize(
    ("markup", "rule"),
    [
        ("<h1>A</h1><h3>B</h3>", "1.3.1"),
        ("<h1>A</h1><input name=x>", "3.3.2"),
        ("<h1>A</h1><svg role=img></svg>", "1.1.1"),
        ("<h1>A</h1><a href=/x><b aria-hidden=true>x</b></a>", "4.1.2"),
        ("<h1>A</h1><table><tr><th>x</th></tr></table>", "1.3.1"),
        ("<h1>A</h1><a href=/x>Play</a><a href=/y>Play</a>", "2.4.9"),
        ("<h1>A</h1><p id=a></p><p id=a></p>", "4.1.2"),
        ("<h2>A</h2>", "1.3.1"),
    ],
)
def test_a_barrier_is_found(markup: str, rule: str) -> None:
    whole = f"<html lang=en><title>T</title><body>{markup}</body></html>"
    assert any(found.startswith(rule) for found in barriers(whole))
