"""The depot: which faults, which mowers, how long, and how often the first repair held."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from assistant.depot.figures import RETURN_DAYS, depot_figures
from assistant.review.desk import desk_of
from assistant.review.rendering import page
from assistant.review.tabs import Tab


def depot(request: Request) -> Response:
    since = request.query_params.get("since", "").strip()[:20]
    until = request.query_params.get("until", "").strip()[:20]
    return page(
        request,
        "depot.html.jinja",
        figures=depot_figures(desk_of(request).depot, since, until),
        return_days=RETURN_DAYS,
        rule=desk_of(request).settings.sound.words,
    )


TAB = Tab("Depot", "/depot", [Route("/depot", depot)])
