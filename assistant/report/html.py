"""One self-contained page a session: no script, no link, nothing fetched; reads at arm's length,
prints on A4, on a phone, in the dark, and without colour."""

from __future__ import annotations

from functools import cache
from typing import Any

from jinja2 import BaseLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from assistant.diagnosis.enough import percent
from assistant.report.contents import Report
from assistant.report.pictures import pictures
from assistant.report.printable import printable
from assistant.report.verdicts import SIGNS, verdict_words
from assistant.speaking.advice import minutes
from assistant.wording.mentions import mentions


def to_html(report: Report) -> str:
    """The page as text; every heard or typed word in it is escaped."""
    shown = [(p.title, Markup(p.svg), p.legend) for p in pictures(report)]  # noqa: S704
    machine = report.profile.profile.machine
    page: str = _template().render(report=report, pictures=shown, machine=machine)
    return page


def environment(loader: BaseLoader) -> Environment:
    """How pages are made from templates: everything escaped, with the words that reports use."""
    made = Environment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        finalize=harmless,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "words": verdict_words,
        "percent": percent,
        "minutes": minutes,
        "day": day,
        "mentions": mentions,
    }
    made.globals["signs"] = SIGNS
    return made


@cache
def _template() -> Any:
    return environment(PackageLoader("assistant.report", "")).get_template("page.html.jinja")


def harmless(value: object) -> object:
    """What a template prints: heard words without characters that control anything."""
    return printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def day(moment: str) -> str:
    """``2026-05-04 08:12`` of an RFC 3339 time, its zone kept where it is not UTC.

    >>> day("2026-05-04T08:12:05.123Z")
    '2026-05-04 08:12 UTC'
    """
    if len(moment) < 17 or moment[10:11] != "T":
        return moment
    zone = moment[19:].lstrip(".0123456789")
    return f"{moment[:10]} {moment[11:16]} {'UTC' if zone in ('Z', '+00:00') else zone}".strip()
