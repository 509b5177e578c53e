"""The pages: no request makes the server fail, gets past the door, or comes back unescaped."""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, quote_plus

from assistant.depot.database import open_depot
from assistant.review.app import Pages, pages_of
from assistant.review.catching_up import CatchingUp
from assistant.review.desk import Desk
from assistant.review.recent import Recent
from assistant.review.settings import Settings
from tests.depot.hollin_bank import ASKED, FAULTY, PROVEN, Bench

from .bytes_of_chance import Chance

HOST = "127.0.0.1:8437"
MARK = "<zq\"'&>"
"""Stands in much of what is sent; a page that holds it as it is let it through unescaped."""
TEXTS = (
    *(
        MARK,
        "",
        "102",
        "-65",
        "0",
        "9" * 400,
        "1e999",
        "\u202e",
        "\x00",
        "\x1b[2J",
        "=cmd()",
        "\ud800",
    ),
    *(
        "../..",
        "%2e%2e%2f",
        "' OR 1=1 --",
        "{{7*7}}",
        "2026-11-25",
        "9999-99-99",
        "14",
        "KL",
        "value",
    ),
    *(
        "guide_signal@front",
        "no_reading",
        "docked",
        "a\r\nSet-Cookie: x=1",
        "x" * 2100,
        "guide hum",
    ),
)
FIELDS = (
    *(
        "text",
        "who",
        "state",
        "label",
        "value",
        "reason",
        "context.station",
        "line",
        "csrf",
        "name",
    ),
    *(
        "search",
        "unit",
        "technician",
        "cause",
        "outcome",
        "signed",
        "since",
        "until",
        "after",
        "done",
    ),
)
PATHS = (
    *(
        "/",
        "/sessions",
        "/units",
        "/depot",
        "/live",
        "/practise",
        "/sessions.csv",
        "/sessions.xlsx",
    ),
    *(
        "/sessions/{s}",
        "/sessions/{s}/notes",
        "/sessions/{s}/sign-off",
        "/sessions/{s}/entries/{e}",
    ),
    *(
        "/sessions/{s}/entries/{e}/withdrawal",
        "/sessions/{s}/report.{k}",
        "/sessions/{s}/sounds/{t}",
    ),
    *("/units/{t}", "/static/{t}", "/static/review.css", "/open/{t}", "/sign-in", "/sign-out"),
    *(
        "/practise/begin/{x}",
        "/practise/{t}",
        "/practise/{t}/sound.wav",
        "/practise/{t}/again/1.wav",
    ),
    *("/{t}", "/sessions.{k}", "/sessions/{t}/report.{k}", "//{t}", "/sessions/{s}/{t}"),
)
KINDS = ("csv", "json", "xlsx", "html", "pdf", "..")
HEADERS = ("origin", "host", "cookie", "content-type", "sec-fetch-site", "range", "accept", "x-a")
METHODS = ("GET", "POST", "GET", "POST", "GET", "POST", "HEAD", "PUT", "OPTIONS", "get")
TAKES_FORMS = re.compile("/notes|/sign-|/entries/|/begin/")
FORM = "application/x-www-form-urlencoded"
MOST_REQUESTS = 400
"""Then a fresh depot: journals that grow make each request slower than the one before."""


@dataclass
class Served:
    """One depot and its pages, with the cookie and token of one who was let in."""

    pages: Pages
    sessions: tuple[str, ...]
    runner: asyncio.Runner
    cookie: str = ""
    csrf: str = ""
    requests: int = 0


@dataclass(frozen=True)
class Answer:
    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


_served: list[Served] = []


def seeds() -> list[bytes]:
    inside = [
        bytes([1, path, 0, 0, 0, method, path, 1, 0, path, 0])
        for path in range(40)
        for method in (0, 2)
    ]
    return [*inside, *(bytes([0, path, 0, 0, 0, 0]) for path in range(40))]


def check(data: bytes) -> None:
    chance = Chance(data)
    served = a_server()
    let_in = chance.number(4) > 0
    path = the_path(chance, served)
    answer = send(served, chance, path, let_in)
    if path == "/sign-out":
        enter(served)
    assert answer.status < 500, answer
    is_safe(answer)
    if not let_in and not path.startswith(("/static/", "/open/")):
        assert answer.status in (303, 400, 401, 403, 405, 413, 415, 421), answer
        assert not any(name in answer.body.decode("utf-8", "replace") for name in served.sessions)


def is_safe(answer: Answer) -> None:
    headers = dict(answer.headers)
    for name, value in answer.headers:
        assert not re.search(r"[\r\n\x00]", f"{name}{value}"), answer
    if "location" in headers:
        assert re.match(r"/(?!/)", headers["location"]), answer
    assert "default-src 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    if headers.get("content-type", "").startswith("text/html"):
        text = answer.body.decode("utf-8")
        assert "<zq" not in text, answer
        assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text), answer


def the_path(chance: Chance, served: Served) -> str:
    return chance.one_of(PATHS).format(
        s=served.sessions[chance.number(len(served.sessions))],
        e=("2", "3", "4", "r2", "0", "-1", MARK)[chance.number(7)],
        k=KINDS[chance.number(len(KINDS))],
        t=quote(TEXTS[chance.number(len(TEXTS))].encode("utf-8", "surrogatepass"), safe=""),
        x="listen_first",
    )


def send(served: Served, chance: Chance, path: str, let_in: bool) -> Answer:
    method = chance.one_of(METHODS)
    if method == "GET" and TAKES_FORMS.search(path) and chance.number(4):
        method = "POST"
    fields = {}
    while chance and len(fields) < 8:
        name = chance.one_of(FIELDS) if chance.number(8) else chance.text(12)
        fields[name] = chance.one_of(TEXTS) if chance.number(3) else chance.text(40)
        if chance.number(6) == 0:
            break
    headers = {"host": HOST, "origin": f"http://{HOST}", "content-type": FORM}
    if let_in:
        headers["cookie"] = served.cookie
        fields.setdefault("csrf", served.csrf)
        for name, value in (("who", "MB"), ("text", MARK), ("reason", MARK), ("line", MARK)):
            fields.setdefault(name, value)
    spoilt = chance.number(4) == 3
    while chance and spoilt:
        name, value = (
            chance.one_of(HEADERS),
            chance.one_of(TEXTS) if chance.number(2) else chance.text(30),
        )
        if name == "cookie" and not let_in:
            value = f"benchcall={value}"
        headers[name] = value
    written = "&".join(f"{_quoted(name)}={_quoted(value)}" for name, value in fields.items())
    if method in ("POST", "PUT"):
        return asked(served, method, path, b"", written.encode(), headers)
    return asked(served, method, path, written.encode(), b"", headers)


def _quoted(text: str) -> str:
    return quote_plus(text.encode("utf-8", "surrogatepass"))


def asked(
    served: Served, method: str, path: str, query: bytes, body: bytes, headers: dict[str, str]
) -> Answer:
    """One request through the whole application, as the web server hands it over."""
    from urllib.parse import unquote

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
        served.runner.run(call())
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
        for old in _served:
            old.runner.close()
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
    served = Served(pages_of(desk, [HOST]), sessions, asyncio.Runner())
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
