"""The tab "Practise" of the pages: the same exercises, done line by line in a browser.

What was practised goes into the practice folder below the depot's home, never among its sessions.
"""

from __future__ import annotations

from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from assistant.errors import UnknownNameError
from assistant.practice.exercise import ANY_TRADE, KIND_WORDS
from assistant.practice.log import best_marks
from assistant.practice.marks import PASS
from assistant.practice.progress_lines import progress_lines
from assistant.practice.progress_picture import progress_picture
from assistant.practice.room import PracticeRoom
from assistant.practice.stretch import cut
from assistant.practice.under_way import AllUnderWay, UnderWay
from assistant.profile.load import DEFAULT_PROFILE
from assistant.review.desk import desk_of
from assistant.review.hand import hand
from assistant.review.rendering import page
from assistant.review.strict_svg import strict
from assistant.review.tabs import Tab

_HERE = Path(__file__).parent
_all = AllUnderWay()


def start(request: Request) -> Response:
    """Every exercise, what to do next, and the marks so far."""
    who = request.state.visitor.who
    room = PracticeRoom(desk_of(request).store.home, who)
    done, wrong = room.log.read(who)
    return page(
        request,
        "practise.html.jinja",
        exercises=room.library.exercises,
        kinds=KIND_WORDS,
        best=best_marks(done),
        choice=room.choose(),
        progress=list(progress_lines(done, room.now())) if done else [],
        picture=strict(progress_picture(done, "Marks over the weeks")) if done else "",
        wrong=[*room.library.wrong, *wrong],
        own=str(room.own_exercises),
        passes=PASS,
        default_profile=DEFAULT_PROFILE,
        any_trade=ANY_TRADE,
    )


def begin(request: Request) -> Response:
    room = PracticeRoom(desk_of(request).store.home, hand(request))
    try:
        exercise = room.library.find(request.path_params["name"])
    except UnknownNameError as error:
        raise HTTPException(404, str(error)) from error
    return RedirectResponse(f"/practise/{_all.start(room, exercise)}", 303)


def show(request: Request) -> Response:
    one = _found(request)
    return page(
        request,
        "exercise.html.jinja",
        one=one,
        key=request.path_params["key"],
        exercise=one.play.exercise,
        kind=KIND_WORDS[one.play.exercise.kind],
        picture=one.picture,
        done=one.done,
        passes=PASS,
    )


def answer(request: Request) -> Response:
    one = _found(request)
    one.type(request.state.form.get("line", ""))
    # Beside a fragment browsers leave the field for the next line without the focus.
    to = "#now" if one.done else ""
    return RedirectResponse(f"/practise/{request.path_params['key']}{to}", 303)


def sound(request: Request) -> Response:
    """The recording of a *listen* exercise."""
    path = _found(request).sound
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, media_type="audio/wav")


def again(request: Request) -> Response:
    """The sound behind lost marks, by their number."""
    one = _found(request)
    number = request.path_params["number"]
    lost = one.done.score.lost if one.done is not None else ()
    if not 0 <= number < len(lost):
        raise HTTPException(404)
    stretch = lost[number].sound
    if stretch is None:
        raise HTTPException(404)
    folder = one.room.folder / "again" / one.play.exercise.id
    return FileResponse(cut(stretch, folder / f"{number + 1}.wav"), media_type="audio/wav")


def _found(request: Request) -> UnderWay:
    one = _all.find(request.path_params["key"])
    if one is None:
        raise HTTPException(404, "This exercise is over. Begin it again from the list.")
    return one


TAB = Tab(
    "Practise",
    "/practise",
    [
        Route("/practise", start),
        Route("/practise/begin/{name}", begin, methods=["POST"]),
        Route("/practise/{key}", show),
        Route("/practise/{key}", answer, methods=["POST"]),
        Route("/practise/{key}/sound.wav", sound),
        Route("/practise/{key}/again/{number:int}.wav", again),
    ],
    templates=_HERE / "templates",
    files=(_HERE / "practise.css", _HERE / "practise.js"),
)
