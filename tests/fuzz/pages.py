"""The pages: no request makes the server fail, gets past the door, or comes back unescaped."""

from __future__ import annotations

import re
from urllib.parse import quote, quote_plus

from .bytes_of_chance import Chance
from .served_here import FORM, HOST, MARK, Answer, Served, a_server, asked, enter

TEXTS = (
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
    "../..",
    "%2e%2e%2f",
    "' OR 1=1 --",
    "{{7*7}}",
    "2026-11-25",
    "9999-99-99",
    "14",
    "KL",
    "value",
    "guide_signal@front",
    "no_reading",
    "docked",
    "a\r\nSet-Cookie: x=1",
    "x" * 2100,
    "guide hum",
)
FIELDS = [
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
]
PATHS = (
    "/",
    "/sessions",
    "/units",
    "/depot",
    "/live",
    "/practise",
    "/sessions.csv",
    "/sessions.xlsx",
    "/sessions/{s}",
    "/sessions/{s}/notes",
    "/sessions/{s}/sign-off",
    "/sessions/{s}/entries/{e}",
    "/sessions/{s}/entries/{e}/withdrawal",
    "/sessions/{s}/report.{k}",
    "/sessions/{s}/sounds/{t}",
    "/units/{t}",
    "/static/{t}",
    "/static/review.css",
    "/open/{t}",
    "/sign-in",
    "/sign-out",
    "/practise/begin/{x}",
    "/practise/{p}",
    "/practise/{t}/sound.wav",
    "/practise/{t}/again/1.wav",
    "/{t}",
    "/sessions.{k}",
    "/sessions/{t}/report.{k}",
    "//{t}",
    "/sessions/{s}/{t}",
)
KINDS = ("csv", "json", "xlsx", "html", "pdf", "..")
HEADERS = ("origin", "host", "cookie", "content-type", "sec-fetch-site", "range", "accept", "x-a")
METHODS = ("GET", "POST", "GET", "POST", "GET", "POST", "HEAD", "PUT", "OPTIONS", "get")
TAKES_FORMS = re.compile("/notes|/sign-|/entries/|/begin/")


statuses: set[int] = set()
"""Which answers came; inputs that never get past the door would try little."""


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
    statuses.add(answer.status)
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
        x=("docked_is_different", "nothing")[chance.number(2)],
        p=served.exercise,
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
