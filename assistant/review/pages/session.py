"""One session as the technician lived it, and the supervisor's signature under it."""

from __future__ import annotations

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from assistant.depot.one_session import one_session
from assistant.depot.supervise import comment, sign_off
from assistant.record.head import spelled_head
from assistant.report.contents import Report
from assistant.report.pictures import pictures
from assistant.review.desk import desk_of
from assistant.review.hand import hand
from assistant.review.lived import cautions, moments
from assistant.review.rendering import page
from assistant.review.strict_svg import strict
from assistant.review.tabs import Tab

DONE = {
    "signed": "Signed off. Note the head of the record elsewhere: it stands below.",
    "corrected": "Corrected. The old value stays visible, struck.",
    "withdrawn": "Withdrawn. The entry stays visible, struck.",
    "noted": "Your note was added.",
}


def session(request: Request) -> Response:
    desk = desk_of(request)
    told = one_session(desk.depot, request.path_params["id"])
    return page(
        request,
        "session.html.jinja",
        told=told,
        session=told.session,
        report=told.report,
        moments=moments(told.report, told.folder) if told.report else (),
        cautions=cautions(told.report) if told.report else (),
        pictures=_pictures(told.report) if told.report else [],
        spelled=spelled_head(told.session.head) if told.session.head else "",
        rule=desk.settings.sound.words,
        done=DONE.get(request.query_params.get("done", ""), ""),
    )


def sign(request: Request) -> Response:
    name = request.path_params["id"]
    form = request.state.form
    sign_off(desk_of(request).depot, name, hand(request), form.get("state", ""))
    return RedirectResponse(f"/sessions/{name}?done=signed#signature", 303)


def note(request: Request) -> Response:
    name = request.path_params["id"]
    comment(desk_of(request).depot, name, hand(request), request.state.form.get("text", ""))
    return RedirectResponse(f"/sessions/{name}?done=noted#notes", 303)


def _pictures(report: Report) -> list[tuple[str, Markup, str]]:
    return [
        (one.title, Markup(strict(one.svg)), one.legend)  # noqa: S704
        for one in pictures(report)
    ]


TAB = Tab(
    "",
    "",
    [
        Route("/sessions/{id}", session),
        Route("/sessions/{id}/sign-off", sign, methods=["POST"]),
        Route("/sessions/{id}/notes", note, methods=["POST"]),
    ],
)
