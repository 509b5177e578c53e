"""A depot's pages without a server: each request goes through the whole application, in here."""

from __future__ import annotations

import asyncio
import atexit
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from assistant.depot.database import open_depot
from assistant.review.app import Pages, pages_of
from assistant.review.catching_up import CatchingUp
from assistant.review.desk import Desk
from assistant.review.recent import Recent
from assistant.review.settings import Settings
from tests.depot.hollin_bank import ASKED, FAULTY, PROVEN, Bench

HOST = "127.0.0.1:8437"
FORM = "application/x-www-form-urlencoded"
MARK = "<zq\"'&>"
"""Stands in much of what is sent; a page that holds it as it is let it through unescaped."""
MOST_REQUESTS = 400
"""Then a fresh depot: journals that grow make each request slower than the one before."""


@dataclass
class Served:
    """One depot and its pages, with the cookie and token of one who was let in, and the key of the
    exercise that was begun."""

    pages: Pages
    sessions: tuple[str, ...]
    cookie: str = ""
    csrf: str = ""
    exercise: str = ""
    requests: int = 0


@dataclass(frozen=True)
class Answer:
    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


_served: list[Served] = []
_runner = asyncio.Runner()
"""One for all, since a target is called anew for each input."""
atexit.register(_runner.close)


def asked(
    served: Served, method: str, path: str, query: bytes, body: bytes, headers: dict[str, str]
) -> Answer:
    """One request through the whole application, as the web server hands it over."""
    scope: dict[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.3"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": unquote(path),
        "raw_path": path.encode("utf-8", "surrogatepass"),
        "root_path": "",
        "query_string": query,
        "headers": [
            (name.encode(), value.encode("utf-8", "surrogatepass"))
            for name, value in headers.items()
        ],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 8437),
    }
    said = [{"type": "http.request", "body": body, "more_body": False}]
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return said.pop() if said else {"type": "http.disconnect"}

    async def take(message: dict[str, Any]) -> None:
        sent.append(message)

    async def call() -> None:
        await asyncio.wait_for(served.pages.app(scope, receive, take), 60)

    fsync, os.fsync = os.fsync, lambda _: None
    try:
        _runner.run(call())
    finally:
        os.fsync = fsync
    head = next(message for message in sent if message["type"] == "http.response.start")
    return Answer(
        head["status"],
        tuple((n.decode("latin-1"), v.decode("latin-1")) for n, v in head["headers"]),
        b"".join(m.get("body", b"") for m in sent if m["type"] == "http.response.body"),
    )


def a_server() -> Served:
    if not _served or _served[0].requests >= MOST_REQUESTS:
        _served[:] = [_a_fresh_one()]
    _served[0].requests += 1
    return _served[0]


def _a_fresh_one() -> Served:
    home = Path(tempfile.mkdtemp(prefix="benchcall-fuzz-"))
    bench = Bench(home)
    sessions = (
        bench.session(*FAULTY, f"note {MARK} \x1b[2J", unit="14"),
        bench.session(*PROVEN, unit="23"),
        bench.session(*ASKED, unit="7", closed=False, who=MARK),
    )
    depot = open_depot(bench.store, f"sqlite:///{home / 'index.sqlite3'}")
    recent = Recent(depot)
    recent.look()
    desk = Desk(depot, Settings(), recent, CatchingUp(depot, recent, ""))
    served = Served(pages_of(desk, [HOST]), sessions)
    enter(served)
    return served


def enter(served: Served) -> None:
    """By the printed link."""
    let_in = asked(served, "GET", f"/open/{served.pages.key}", b"", b"", {"host": HOST})
    served.cookie = dict(let_in.headers)["set-cookie"].split(";")[0]
    headers = {"host": HOST, "cookie": served.cookie}
    page = asked(served, "GET", f"/sessions/{served.sessions[0]}", b"", b"", headers)
    token = re.search(rb'name="csrf" value="([^"]+)"', page.body)
    assert token is not None, page
    served.csrf = token[1].decode()
    form = f"csrf={served.csrf}&who=MB".encode()
    headers |= {"origin": f"http://{HOST}", "content-type": FORM}
    begun = asked(served, "POST", "/practise/begin/first_minute", b"", form, headers)
    served.exercise = dict(begun.headers)["location"].rpartition("/")[2]
