"""All sessions, newest first, with filters and a search."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from assistant.depot.listed import Filter, Outcome
from assistant.depot.listing import sessions
from assistant.review.desk import desk_of
from assistant.review.rendering import page
from assistant.review.tabs import Tab

ROWS = 50
LONGEST = 200
FIELDS = ("search", "unit", "technician", "cause", "outcome", "signed", "since", "until")
YES_NO = {"yes": True, "no": False}


def chosen(asked: Mapping[str, str]) -> dict[str, str]:
    """The fields of the form that say something."""
    return {name: value for name in FIELDS if (value := asked.get(name, "").strip()[:LONGEST])}


def filter_of(asked: Mapping[str, str]) -> Filter:
    """What is no outcome and no yes or no is taken for "any"."""
    outcome: Outcome | None = next(
        (o for o in get_args(Outcome) if o == asked.get("outcome")), None
    )
    return Filter(
        unit=asked.get("unit", ""),
        technician=asked.get("technician", ""),
        cause=asked.get("cause", ""),
        outcome=outcome,
        signed=YES_NO.get(asked.get("signed", "")),
        since=asked.get("since", ""),
        until=asked.get("until", ""),
    )


def everything(request: Request) -> Response:
    asked = chosen(request.query_params)
    after = request.query_params.get("after") or None
    desk = desk_of(request)
    desk.recent.look()
    found = sessions(desk.depot, filter_of(asked), asked.get("search", ""), after, ROWS)
    query = urlencode(asked)
    return page(
        request,
        "sessions.html.jinja",
        found=found,
        asked=asked,
        query=query,
        onward=urlencode({**asked, "after": found.after}) if found.after else "",
        catching_up=desk.catching_up.told,
        first=after is None,
    )


TAB = Tab("Sessions", "/sessions", [Route("/sessions", everything)])
