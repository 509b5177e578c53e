"""Who may knock: a request must name this server, come from its own pages, and be small.

A page of another site can make a browser send requests here, or have its own name lead here
(DNS rebinding). Both show in Host, Origin and Sec-Fetch-Site, which a page's script can't forge.
Forms come as plain fields; anything else, above all an upload, is refused unread.
"""

from __future__ import annotations

from collections.abc import Collection
from urllib.parse import parse_qsl

import anyio
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 16_384
MOST_FIELDS = 40
MOST_UNREAD = 16 * MOST_BYTES
PATIENCE = 2.0
"""Bytes and seconds for which a refused request may run out."""
FORM = "application/x-www-form-urlencoded"
METHODS = ("GET", "HEAD", "POST")


class RefusedError(Exception):
    """``status`` and a sentence for whoever sent the request."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(why)
        self.status = status


class Gate:
    """``hosts`` are the names by which this server may be called, with port, in small letters."""

    def __init__(self, app: ASGIApp, hosts: Collection[str], scheme: str) -> None:
        self._app = app
        self._hosts = frozenset(hosts)
        self._scheme = scheme

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        body = _Body(receive)
        try:
            self._admit(scope)
            form = await _form(scope, body.receive) if scope["method"] == "POST" else {}
        except RefusedError as refused:
            await body.let_run_out()
            await _refusal(refused)(scope, receive, send)
            return
        scope.setdefault("state", {})["form"] = form
        await self._app(scope, receive, send)

    def _admit(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        if scope["method"] not in METHODS:
            raise RefusedError(405, f"{scope['method']} is not used here.")
        hosts = [host.lower() for host in headers.getlist("host")]
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            raise RefusedError(421, "This server has no such name. Use the link it printed.")
        own = f"{self._scheme}://{hosts[0]}"
        origins = headers.getlist("origin")
        if any(origin.lower() != own for origin in origins):
            raise RefusedError(403, "This request comes from a page of another site.")
        if scope["method"] == "POST":
            if len(origins) != 1:
                raise RefusedError(403, "A change must say which page it comes from.")
            if headers.get("sec-fetch-site", "same-origin") != "same-origin":
                raise RefusedError(403, "This request comes from a page of another site.")


class _Body:
    """What a request still has to say. A refused one is let run out, unread: a connection that is
    closed on unread bytes is reset, and the sender would never see the answer."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._ended = False

    async def receive(self) -> Message:
        message = await self._receive()
        self._ended = not message.get("more_body", False)
        return message

    async def let_run_out(self) -> None:
        left = MOST_UNREAD
        with anyio.move_on_after(PATIENCE):
            while not self._ended and left > 0:
                left -= len((await self.receive()).get("body", b""))


async def _form(scope: Scope, receive: Receive) -> dict[str, str]:
    """The fields of the body, each named once."""
    request = Request(scope, receive)
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    if kind != FORM:
        raise RefusedError(415, "Only the forms of these pages are read; nothing can be uploaded.")
    body = bytearray()
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise RefusedError(413, f"More than {MOST_BYTES} bytes; shorten the text.")
    try:
        fields = parse_qsl(
            body.decode("ascii"),
            keep_blank_values=True,
            strict_parsing=bool(body),
            errors="strict",
            max_num_fields=MOST_FIELDS,
        )
    except ValueError as error:
        raise RefusedError(400, "These are not the fields of a form.") from error
    form = dict(fields)
    if len(form) != len(fields):
        raise RefusedError(400, "A field was sent twice.")
    return form


def _refusal(refused: RefusedError) -> Response:
    return PlainTextResponse(f"{refused}\n", refused.status, {"Connection": "close"})
