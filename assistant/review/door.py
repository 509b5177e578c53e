"""The door: a browser comes in by the link that the server printed, or by name and password.

Either sets one cookie that no script can read and no other site's page can send. Every change
carries the visitor's own CSRF token besides (ASVS 5.0, 3.5.1), and is a POST (3.5.3).
"""

from __future__ import annotations

import hmac
import secrets
from math import ceil

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from assistant.review.rendering import page
from assistant.review.tries import Tries
from assistant.review.users import LONGEST, Users
from assistant.review.visitors import Visitor, Visitors

OPEN = "/open/"
SIGN_IN = "/sign-in"
SIGN_OUT = "/sign-out"
AFTER = {"": "/", "live": "/live"}
"""Where the printed links lead."""


class Door:
    """``users`` None: whoever has the link may come in, under the name ``who`` if one is given."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        users: Users | None,
        tls: bool,
        who: str = "",
        visitors: Visitors | None = None,
        tries: Tries | None = None,
    ) -> None:
        self._app = app
        self._users = users
        self._tls = tls
        self._who = who
        self._visitors = visitors or Visitors()
        self._tries = tries or Tries()
        self.key = secrets.token_urlsafe(24)
        """What the printed link holds."""
        self.cookie = "__Host-benchcall" if tls else "benchcall"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"].startswith("/static/"):
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        response = await self._answer(request)
        await (response or self._app)(scope, receive, send)

    async def _answer(self, request: Request) -> Response | None:
        """A response of the door's own; None lets the request through."""
        path, form = request.url.path, request.state.form
        if path.startswith(OPEN):
            return self._open(request, path.removeprefix(OPEN))
        if path == SIGN_IN and self._users is not None:
            return await self._sign_in(request, self._users)
        visitor = self._visitors.seen(request.cookies.get(self.cookie, ""))
        if visitor is None:
            return self._outside(request)
        request.state.visitor = visitor
        request.state.still_in = lambda: self._visitors.seen(visitor.key) is not None
        if request.method != "POST":
            return None
        if not hmac.compare_digest(form.get("csrf", "").encode(), visitor.csrf.encode()):
            why = "This form is out of date. Go back, load the page again and send it once more."
            return page(request, "told.html.jinja", 403, title="Not done", why=why)
        if path == SIGN_OUT:
            self._visitors.send_out(visitor)
            response = RedirectResponse(SIGN_IN if self._users is not None else "/", 303)
            response.delete_cookie(self.cookie)
            return response
        return None

    def _open(self, request: Request, rest: str) -> Response:
        key, _, after = rest.partition("/")
        known = hmac.compare_digest(key.encode(), self.key.encode())
        if self._users is not None or not known or request.method != "GET" or after not in AFTER:
            return self._outside(request)
        return self._in(self._visitors.let_in(self._who), AFTER[after])

    async def _sign_in(self, request: Request, users: Users) -> Response:
        if request.method != "POST":
            return page(request, "sign_in.html.jinja", why="", name="")
        form = request.state.form
        name, password = form.get("name", "").strip()[:LONGEST], form.get("password", "")
        if wait := self._tries.wait(name):
            why = f"Too many wrong tries. Wait {ceil(wait)} seconds."
            response = page(request, "sign_in.html.jinja", 429, why=why, name=name)
            response.headers["Retry-After"] = str(ceil(wait))
            return response
        self._tries.wrong(name)  # before the slow part, so that tries at once count too
        if not await run_in_threadpool(users.proves, name, password):
            why = "Name or password is wrong."
            return page(request, "sign_in.html.jinja", 403, why=why, name=name)
        self._tries.right(name)
        return self._in(self._visitors.let_in(name, named=True), "/")

    def _in(self, visitor: Visitor, to: str) -> Response:
        response = RedirectResponse(to, 303)
        response.set_cookie(
            self.cookie,
            visitor.key,
            path="/",
            secure=self._tls,
            httponly=True,
            samesite="strict",
        )
        return response

    def _outside(self, request: Request) -> Response:
        if self._users is not None and request.method == "GET":
            return RedirectResponse(SIGN_IN, 303)
        why = (
            "Sign in first."
            if self._users is not None
            else "Open the link that benchcall review printed when it started. It is good as long "
            "as that command runs."
        )
        return page(request, "told.html.jinja", 401, title="Not let in", why=why)
