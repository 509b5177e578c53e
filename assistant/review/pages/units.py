"""One unit over the years: what has begun to move, which faults, which parts, every visit."""

from __future__ import annotations

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from assistant.depot.figures import depot_figures
from assistant.depot.unit_history import MOST, unit_history
from assistant.errors import UnknownNameError
from assistant.review.control_picture import control_picture
from assistant.review.desk import desk_of
from assistant.review.rendering import page
from assistant.review.tabs import Tab

STEADY_DRAWN = 4
"""Labels that did not move are drawn up to this many; the others are told in words."""


def units(request: Request) -> Response:
    name = request.query_params.get("unit", "").strip()[:40]
    if name:
        return RedirectResponse(f"/units/{quote(name, safe='')}", 303)
    return page(request, "units.html.jinja", figures=depot_figures(desk_of(request).depot))


def unit(request: Request) -> Response:
    name = request.path_params["unit"]
    history = unit_history(desk_of(request).depot, name)
    if not history.rows:
        raise UnknownNameError(f"No session is about unit {name[:40]}. Look for it in the list.")
    pictures = [control_picture(name, trend) for name, trend in history.trends]
    moved = [picture for picture in pictures if picture.moved]
    steady = [picture for picture in pictures if not picture.moved]
    return page(
        request,
        "unit.html.jinja",
        history=history,
        moved=moved,
        drawn=steady[:STEADY_DRAWN],
        told=steady[STEADY_DRAWN:],
        most=MOST,
    )


TAB = Tab("Units", "/units", [Route("/units", units), Route("/units/{unit}", unit)])
