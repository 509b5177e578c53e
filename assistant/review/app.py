"""Puts the pages together behind the gate and the door."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from assistant.errors import BenchcallError, UnknownNameError
from assistant.review.desk import Desk
from assistant.review.door import Door
from assistant.review.gate import Gate
from assistant.review.headers import Headers
from assistant.review.rendering import environment, page
from assistant.review.tabs import Tab, tabs
from assistant.review.users import Users

STATIC = Path(__file__).parent / "static"
OURS = (STATIC / "review.css", STATIC / "review.js", STATIC / "mark.svg")


@dataclass(frozen=True, slots=True)
class Pages:
    """``app`` is to be served, ``key`` what the printed link must hold."""

    app: ASGIApp
    key: str


def pages_of(
    desk: Desk,
    hosts: Collection[str],
    *,
    users: Users | None = None,
    tls: bool = False,
    who: str = "",
    those: tuple[Tab, ...] | None = None,
) -> Pages:
    """The whole application. ``hosts`` are the names with port by which it may be called."""
    listed = tabs() if those is None else those
    files = {path.name: path for path in (*OURS, *(f for tab in listed for f in tab.files))}
    app = Starlette(
        routes=[_files(files), *(route for tab in listed for route in tab.routes)],
        exception_handlers={HTTPException: _http, BenchcallError: _told, Exception: _broken},
    )
    app.router.redirect_slashes = False  # every page has one address
    app.state.desk = desk
    app.state.tabs = [tab for tab in listed if tab.title]
    app.state.templates = environment(tab.templates for tab in listed if tab.templates)
    door = Door(app, users=users, tls=tls, who=who)
    scheme = "https" if tls else "http"
    gate = Gate(_with_state(door, app.state), hosts, scheme)
    return Pages(Headers(gate, tls), door.key)


def _with_state(inner: ASGIApp, state: object) -> ASGIApp:
    """Lets the door render pages before the application is reached."""

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        scope["benchcall"] = state
        await inner(scope, receive, send)

    return app


def _files(files: dict[str, Path]) -> Route:
    """Only the listed files: no path is ever made from a request."""

    def file(request: Request) -> Response:
        path = files.get(request.path_params["name"])
        if path is None:
            raise HTTPException(404)
        return FileResponse(path, headers={"Cache-Control": "no-cache"})

    return Route("/static/{name}", file)


_WORDS = {
    404: "There is nothing at this address. Go back to the list.",
    405: "This address does not take that.",
}


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    plain = error.detail == HTTPStatus(error.status_code).phrase
    why = _WORDS.get(error.status_code, error.detail) if plain else error.detail
    title = "Not found" if error.status_code == HTTPStatus.NOT_FOUND else "Not done"
    return page(request, "told.html.jinja", error.status_code, title=title, why=why)


def _told(request: Request, error: Exception) -> Response:
    status = 404 if isinstance(error, UnknownNameError) else 409
    return page(request, "told.html.jinja", status, title="Not done", why=str(error))


def _broken(request: Request, _: Exception) -> Response:
    why = "This page failed; the records are untouched. The terminal says more."
    return page(request, "told.html.jinja", 500, title="Failed", why=why)
