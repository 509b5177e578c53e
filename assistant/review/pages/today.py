"""The first page: what needs a supervisor today, most pressing first."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from assistant.depot.listing import COUNTED, count_needing, needs_attention
from assistant.review.desk import desk_of
from assistant.review.rendering import page
from assistant.review.tabs import Tab

ROWS = 30


def today(request: Request) -> Response:
    desk = desk_of(request)
    desk.recent.look()
    depot = desk.depot
    count = count_needing(depot)
    return page(
        request,
        "today.html.jinja",
        found=needs_attention(depot, request.query_params.get("after") or None, ROWS),
        count=count,
        more=count >= COUNTED,
        catching_up=desk.catching_up.told,
        first="after" not in request.query_params,
    )


TAB = Tab("Today", "/", [Route("/", today)])
