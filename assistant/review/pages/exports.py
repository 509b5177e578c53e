"""A session to take along: a page to print, a table, data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from assistant.depot.one_session import one_session
from assistant.errors import RecordError
from assistant.report.contents import Report
from assistant.report.csv import to_csv
from assistant.report.html import to_html
from assistant.report.json import to_json
from assistant.review.desk import desk_of
from assistant.review.tabs import Tab


@dataclass(frozen=True, slots=True)
class Kind:
    make: Callable[[Report], str | bytes]
    media: str
    opens: bool = False
    """Whether a browser shows it; else it is saved."""


KINDS = {
    "html": Kind(to_html, "text/html", opens=True),
    "csv": Kind(to_csv, "text/csv"),
    "json": Kind(to_json, "application/json"),
}

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


def export(request: Request) -> Response:
    kind = KINDS.get(request.path_params["kind"])
    if kind is None:
        raise HTTPException(404)
    told = one_session(desk_of(request).depot, request.path_params["id"])
    if told.report is None:
        raise RecordError(f"This session can't be exported: {told.row.trouble}")
    made = kind.make(told.report)
    data = made.encode("utf-8", "replace") if isinstance(made, str) else made
    name = f"{told.session.id}.{request.path_params['kind']}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    if kind.opens:
        headers = {"Content-Security-Policy": PAGE_POLICY}
    return Response(data, media_type=kind.media, headers=headers)


TAB = Tab("", "", [Route("/sessions/{id}/report.{kind}", export)])
