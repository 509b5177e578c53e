"""Fills the templates: everything heard or typed is escaped, and nothing in a page runs."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader
from starlette.requests import Request
from starlette.responses import HTMLResponse

from assistant.report import html
from assistant.review.words import NEEDS, OUTCOMES, counted, hours

TEMPLATES = Path(__file__).parent / "templates"


def environment(folders: Iterable[Path]) -> Environment:
    """Templates are looked for here first, then in ``folders``."""
    made = html.environment(FileSystemLoader([TEMPLATES, *folders]))
    made.filters |= {"hours": hours, "counted": counted}
    made.globals |= {"needs": NEEDS, "outcomes": OUTCOMES}
    return made


def page(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A page from a template that extends ``page.html.jinja``; ``values`` are its own."""
    state = request.app.state if "app" in request.scope else request.scope["benchcall"]
    visitor = getattr(request.state, "visitor", None)
    common = {
        "tabs": state.tabs,
        "path": request.url.path,
        "visitor": visitor,
        "csrf": visitor.csrf if visitor else "",
    }
    text = state.templates.get_template(template).render({**common, **values})
    return HTMLResponse(text, status)
