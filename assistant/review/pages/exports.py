"""To take along: a session as a page to print, a table, a workbook or data; the list likewise."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from assistant.depot.export import export_sessions
from assistant.depot.one_session import one_session
from assistant.errors import RecordError
from assistant.report.write import Exported, export
from assistant.review.desk import desk_of
from assistant.review.pages.sessions import chosen, filter_of
from assistant.review.tabs import Tab

PAGE_POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'unsafe-inline'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "object-src 'none'",
        "form-action 'none'",
        "sandbox allow-modals",
    )
)
"""Of the page to print, which is one file with its styles in it: nothing runs in it at all."""


def one(request: Request) -> Response:
    told = one_session(desk_of(request).depot, request.path_params["id"])
    if told.report is None:
        raise RecordError(f"This session can't be exported: {told.row.trouble}")
    return _sent(export(told.report, request.path_params["kind"]))


def listed(request: Request) -> Response:
    asked = chosen(request.query_params)
    depot = desk_of(request).depot
    kind = request.path_params["kind"]
    return _sent(export_sessions(depot, kind, filter_of(asked), asked.get("search", "")))


def _sent(made: Exported) -> Response:
    """A page is shown, anything else is saved."""
    if made.media_type.startswith("text/html"):
        headers = {"Content-Security-Policy": PAGE_POLICY}
    else:
        headers = {"Content-Disposition": f'attachment; filename="{made.name}"'}
    return Response(made.data, media_type=made.media_type, headers=headers)


TAB = Tab(
    "",
    "",
    [Route("/sessions.{kind}", listed), Route("/sessions/{id}/report.{kind}", one)],
)
