"""What a page must have so that it can be read aloud, walked through by keyboard and told apart:
the rules of WCAG 2.2 that markup alone decides, each with its number."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr"}
HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
FIELDS = ("input", "select", "textarea", "meter", "audio")
UNLABELLED = ("hidden", "submit", "button")


@dataclass
class Element:
    tag: str
    attributes: dict[str, str]
    parent: Element | None = None
    children: list[Element] = field(default_factory=list)
    words: str = ""

    def all(self) -> Iterator[Element]:
        yield self
        for child in self.children:
            yield from child.all()

    def within(self, *tags: str) -> bool:
        above = self.parent
        while above is not None:
            if above.tag in tags:
                return True
            above = above.parent
        return False

    @property
    def text(self) -> str:
        """What is read aloud: what is hidden from screen readers left out."""
        if self.attributes.get("aria-hidden") == "true":
            return ""
        return " ".join([self.words, *(child.text for child in self.children)]).strip()

    @property
    def name(self) -> str:
        titles = [child.text for child in self.children if child.tag == "title"]
        return self.attributes.get("aria-label", "") or " ".join(titles) or self.text


class _Tree(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.top = self.at = Element("", {})

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, {name: value or "" for name, value in attrs}, self.at)
        self.at.children.append(made)
        if tag not in VOID:
            self.at = made

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, {name: value or "" for name, value in attrs}, self.at)
        self.at.children.append(made)

    def handle_endtag(self, tag: str) -> None:
        if self.at.tag == tag and self.at.parent is not None:
            self.at = self.at.parent

    def handle_data(self, data: str) -> None:
        self.at.words = f"{self.at.words} {data.strip()}".strip()


def barriers(html: str) -> list[str]:
    """Every rule that the page breaks, with the place."""
    tree = _Tree()
    tree.feed(html)
    page = list(tree.top.all())
    return [*_page(page), *_headings(page), *_names(page), *_tables(page), *_keys(page)]


def _page(page: list[Element]) -> Iterator[str]:
    if not any(e.tag == "html" and e.attributes.get("lang") == "en" for e in page):
        yield "3.1.1 no language on html"
    if not any(e.tag == "title" and not e.within("svg") and e.text for e in page):
        yield "2.4.2 no title"
    ids = [e.attributes["id"] for e in page if "id" in e.attributes]
    yield from (f"4.1.2 id used twice: {one}" for one in set(ids) if ids.count(one) > 1)
    for e in page:
        for told in ("aria-labelledby", "aria-describedby", "for"):
            if told in e.attributes and e.attributes[told] not in ids:
                yield f"1.3.1 {told} leads nowhere: {e.attributes[told]}"


def _headings(page: list[Element]) -> Iterator[str]:
    levels = [HEADINGS.index(e.tag) + 1 for e in page if e.tag in HEADINGS]
    if levels.count(1) != 1 and not any("live" in e.attributes.get("class", "") for e in page):
        yield f"1.3.1 {levels.count(1)} first headings"
    for above, below in zip([1, *levels], levels, strict=False):
        if below > above + 1:
            yield f"1.3.1 a heading of level {below} below one of level {above}"
    yield from ("2.4.6 an empty heading" for e in page if e.tag in HEADINGS and not e.text)


def _names(page: list[Element]) -> Iterator[str]:
    for e in page:
        told = e.attributes
        kind = told.get("type", "")
        if e.tag in ("a", "button") and not e.name:
            yield f"4.1.2 no name: {e.tag} {told}"
        if e.tag in FIELDS and kind not in UNLABELLED:
            labelled = e.within("label") or "aria-label" in told or "aria-labelledby" in told
            if not labelled:
                yield f"3.3.2 no label: {e.tag} {told}"
        if e.tag == "img" and "alt" not in told:
            yield f"1.1.1 no alternative: {told}"
        if e.tag == "svg" and not (told.get("role") == "presentation" or e.within("svg")):
            named = "aria-label" in told or any(c.tag == "title" and c.text for c in e.children)
            if not named:
                yield f"1.1.1 a picture without a name: {told}"
            if told.get("role") == "img" and any(c.tag == "a" for c in e.all()):
                yield "4.1.2 links inside one picture can't be reached by a screen reader"
        if e.tag == "fieldset" and not any(c.tag == "legend" and c.text for c in e.children):
            yield "1.3.1 a group without a legend"
    links: dict[str, set[str]] = {}
    for e in page:
        if e.tag == "a" and e.attributes.get("href"):
            links.setdefault(e.name, set()).add(e.attributes["href"])
    for name, to in links.items():
        if len(to) > 1:
            yield f"2.4.9 one name, {len(to)} places: {name}"


def _tables(page: list[Element]) -> Iterator[str]:
    for e in page:
        if e.tag == "th" and "scope" not in e.attributes:
            yield f"1.3.1 a head without scope: {e.text}"


def _keys(page: list[Element]) -> Iterator[str]:
    for e in page:
        if any(name.startswith("on") for name in e.attributes):
            yield f"2.1.1 script in the markup: {e.attributes}"
        if int(e.attributes.get("tabindex", "0") or 0) > 0:
            yield f"2.4.3 an order of its own: {e.attributes}"
        if e.tag == "a" and not e.attributes.get("href"):
            yield f"2.1.1 no key reaches it: {e.text}"
