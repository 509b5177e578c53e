"""One session as the technician lived it, and the supervisor's signature under it."""

from __future__ import annotations

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from assistant.depot.one_session import one_session
from assistant.depot.supervise import comment, sign_off
from assistant.record.head import spelled_head
from assistant.report.charts import chart, facing, facing_legend, facing_title
from assistant.report.contents import Report
from assistant.report.field_picture import field_picture
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
    pictures = _pictures(told.report) if told.report else []
    return page(
        request,
        "session.html.jinja",
        told=told,
        session=told.session,
        report=told.report,
        moments=moments(told.report, told.folder) if told.report else (),
        cautions=cautions(told.report) if told.report else (),
        pictures=pictures,
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
    """Title, SVG and legend of each picture that this session has."""
    made = (
        (
            facing_title(report.profile),
            chart(facing(report.session, report.profile), facing_title(report.profile)),
            facing_legend(report.profile),
        ),
        (
            "Where the wire lies",
            field_picture(report.session, report.profile, "Where the wire lies"),
            "Above: the signal at each sideways shift and the curve of one straight wire fitted to "
            "it; the band is where the wire lies, 95 % sure. Below: the "
            f"{report.profile.profile.machine} from above.",
        ),
    )
    # Drawn here from numbers and from words that were escaped.
    return [(title, Markup(strict(svg)), legend) for title, svg, legend in made if svg]  # noqa: S704


TAB = Tab(
    "",
    "",
    [
        Route("/sessions/{id}", session),
        Route("/sessions/{id}/sign-off", sign, methods=["POST"]),
        Route("/sessions/{id}/notes", note, methods=["POST"]),
    ],
)
