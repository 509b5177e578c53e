"""What other sites, other machines and made-up requests try; against the running server."""

from __future__ import annotations

import socket
from collections.abc import Iterator

import httpx
import pytest

from .conftest import Told
from .served import Served, csrf

HEADERS = {
    "content-security-policy",
    "x-content-type-options",
    "referrer-policy",
    "cross-origin-opener-policy",
    "cross-origin-resource-policy",
    "cache-control",
}


def raw(served: Served, text: str) -> str:
    """Sends bytes as they are and gives the first line of the answer, "" where there is none."""
    with socket.create_connection(served.address, timeout=30) as connection:
        connection.sendall(text.encode("latin-1"))
        return connection.makefile("rb").readline().decode("latin-1").strip()


def test_a_stranger_sees_nothing(served: Served, told: Told) -> None:
    with served.stranger() as stranger:
        for path in (
            "/",
            "/sessions",
            f"/sessions/{told.heard}",
            f"/sessions/{told.heard}/sounds/{told.sound}.wav",
            f"/sessions/{told.heard}/report.json",
            "/units/14",
            "/depot",
            "/live",
            "/live/events",
            "/nothing",
            "/open/",
            "/open/wrong",
            f"{served.links[0]}/elsewhere",
        ):
            answer = stranger.get(path)
            assert answer.status_code == 401, path
            assert "Set-Cookie" not in answer.headers
            assert told.heard not in answer.text


def test_the_printed_link_gives_a_cookie_that_scripts_and_other_sites_cannot_use(
    served: Served,
) -> None:
    with served.stranger() as client:
        answer = client.get(served.links[0])
        cookie = answer.headers["Set-Cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert "path=/" in cookie
        assert answer.headers["Location"] == "/"
        assert served.links[0].rsplit("/", 1)[1] not in cookie
        assert client.get(served.links[1]).headers["Location"] == "/live"


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "localhost.evil:{port}",
        "",
    ],
)
def test_another_name_for_this_server_is_refused(served: Served, host: str) -> None:
    """DNS rebinding: the browser connects here, and Host tells which site it thinks it is at."""
    port = served.address[1]
    line = raw(served, f"GET / HTTP/1.1\r\nHost: {host.format(port=port)}\r\n\r\n")
    assert line.split()[1] in ("421", "400"), line


def test_two_hosts_are_refused(served: Served) -> None:
    own = ":".join(map(str, served.address))
    line = raw(served, f"GET / HTTP/1.1\r\nHost: {own}\r\nHost: evil.example\r\n\r\n")
    assert line.split()[1] in ("421", "400"), line


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", "http://127.0.0.1:1", "http://localhost.evil"]
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_request_from_another_sites_page_is_refused(
    served: Served, told: Told, origin: str, method: str
) -> None:
    with served.visitor() as visitor:
        token = csrf(visitor)
        answer = visitor.request(
            method,
            f"/sessions/{told.heard}/notes" if method == "POST" else "/",
            headers={"Origin": origin},
            data={"csrf": token, "text": "x"} if method == "POST" else None,
        )
        assert answer.status_code == 403


def test_a_post_without_origin_or_from_elsewhere_or_without_its_token_changes_nothing(
    served: Served, told: Told
) -> None:
    with served.visitor() as visitor:
        token = csrf(visitor)
        path = f"/sessions/{told.heard}/notes"
        good = {"csrf": token, "text": "never"}
        for headers, form in (
            ({"Origin": served.base, "Sec-Fetch-Site": "cross-site"}, good),
            ({"Origin": served.base, "Sec-Fetch-Site": "same-site"}, good),
            ({"Origin": served.base}, {"text": "never"}),
            ({"Origin": served.base}, {"csrf": "", "text": "never"}),
            ({"Origin": served.base}, {"csrf": token[:-1], "text": "never"}),
            ({"Origin": served.base}, {"csrf": "ä", "text": "never"}),
        ):
            assert visitor.post(path, headers=headers, data=form).status_code == 403
        del visitor.headers["Origin"]
        assert visitor.post(path, data=good).status_code == 403
        assert "never" not in visitor.get(f"/sessions/{told.heard}").text


def test_one_visitors_token_is_no_good_for_another(served: Served, told: Told) -> None:
    with served.visitor() as one, served.visitor() as other:
        answer = other.post(
            f"/sessions/{told.heard}/notes", data={"csrf": csrf(one), "text": "never"}
        )
        assert answer.status_code == 403


def test_get_never_changes_anything(served: Served, told: Told) -> None:
    review = served.home / "sessions" / told.heard / "review.jsonl"
    with served.visitor() as visitor:
        for path in (
            "notes?text=x",
            "sign-off",
            "entries/2/withdrawal?reason=x",
            "entries/2?value=1&reason=x",
        ):
            visitor.get(f"/sessions/{told.heard}/{path}&csrf={csrf(visitor)}")
    assert not review.exists()


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT"])
def test_other_methods_are_refused(served: Served, method: str) -> None:
    own = ":".join(map(str, served.address))
    line = raw(served, f"{method} / HTTP/1.1\r\nHost: {own}\r\n\r\n")
    assert line.split()[1] in ("405", "400"), line


def test_uploads_and_anything_but_a_form_are_refused_unread(served: Served, told: Told) -> None:
    path = f"/sessions/{told.heard}/notes"
    with served.visitor() as visitor:
        upload = visitor.post(path, files={"text": ("x.wav", b"RIFF")})
        assert upload.status_code == 415
        assert visitor.post(path, json={"text": "x"}).status_code == 415
        assert visitor.post(path, content=b"text=x").status_code == 415


def test_large_and_malformed_forms_are_refused(served: Served, told: Told) -> None:
    path = f"/sessions/{told.heard}/notes"
    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    with served.visitor() as visitor:
        token = csrf(visitor)
        assert visitor.post(path, data={"csrf": token, "text": "x" * 20_000}).status_code == 413
        for body in (
            f"csrf={token}&text=a&text=b",
            f"csrf={token}&text=%ff",
            "&".join(f"f{i}=1" for i in range(100)),
            f"csrf={token}&text",
        ):
            answer = visitor.post(path, content=body.encode(), headers=kind)
            assert answer.status_code == 400, body
        answer = visitor.post(path, content="text=ä".encode(), headers=kind)
        assert answer.status_code == 400


def test_a_body_without_an_announced_length_is_cut_off_too(served: Served, told: Told) -> None:
    def endless() -> Iterator[bytes]:
        for _ in range(20):
            yield b"text=" + b"x" * 1000

    with served.visitor() as visitor:
        answer = visitor.post(
            f"/sessions/{told.heard}/notes",
            content=endless(),
            headers={"Content-Type": "application/x-www-form-urlencoded"},
        )
        assert answer.status_code == 413


@pytest.mark.parametrize(
    "path",
    [
        "/sessions/..%2f..%2fetc%2fpasswd",
        "/sessions/%2e%2e",
        "/sessions/....//",
        "/static/..%2f..%2fapp.py",
        "/static/%2e%2e%2fapp.py",
        "/static/../app.py",
        "/static/app.py",
        "/sessions/20261125-171305-unit14-3fa9%00",
        "/sessions/last",
        "/sessions/x/sounds/..%2fjournal.jsonl",
        "/sessions/{heard}/sounds/..%2fjournal.jsonl",
        "/sessions/{heard}/sounds/%2e%2e%2fjournal.jsonl",
        "/sessions/{heard}/sounds/journal.jsonl",
        "/sessions/{heard}/sounds/{sound}",
        "/sessions/{faulty}/sounds/{sound}.wav",
        "/sessions/{heard}/report.py",
        "/sessions/{heard}/entries/0",
        "/sessions/{heard}/entries/..",
        "/units/%00",
        "/units/nobody",
    ],
)
def test_ids_and_paths_lead_nowhere_else(served: Served, told: Told, path: str) -> None:
    path = path.format(heard=told.heard, sound=told.sound, faulty=told.faulty)
    own = ":".join(map(str, served.address))
    with served.visitor() as visitor:
        cookies = "; ".join(f"{k}={v}" for k, v in visitor.cookies.items())
    line = raw(served, f"GET {path} HTTP/1.1\r\nHost: {own}\r\nCookie: {cookies}\r\n\r\n")
    assert line.split()[1] == "404", line


def test_every_answer_carries_the_headers_and_names_no_software(served: Served, told: Told) -> None:
    with served.visitor() as visitor, served.stranger() as stranger:
        answers = [
            stranger.get("/"),
            stranger.get("/", headers={"Host": "evil.example"}),
            stranger.get("/static/review.css"),
            stranger.get("/static/nothing"),
            visitor.get("/"),
            visitor.get("/nothing"),
            visitor.get(f"/sessions/{told.heard}"),
            visitor.get(f"/sessions/{told.heard}/report.html"),
            visitor.get(f"/sessions/{told.heard}/report.csv"),
            visitor.get(f"/sessions/{told.heard}/sounds/{told.sound}.wav"),
            visitor.post("/sessions", data={}),
        ]
    for answer in answers:
        assert set(answer.headers) >= HEADERS, answer.url
        policy = answer.headers["Content-Security-Policy"]
        for least in ("object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"):
            assert least in policy  # ASVS 5.0: 3.4.3, 3.4.6
        assert "script-src 'unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"  # ASVS 5.0: 3.4.4
        assert "Server" not in answer.headers


def test_no_page_holds_a_script_or_style_of_its_own(served: Served, told: Told) -> None:
    with served.visitor() as visitor:
        for path in (
            "/",
            "/sessions",
            "/units",
            "/units/14",
            "/depot",
            "/live",
            f"/sessions/{told.faulty}",
            f"/sessions/{told.heard}/entries/2",
        ):
            text = visitor.get(path).text
            assert " style=" not in text, path
            assert "<style" not in text, path
            assert text.count("<script") == 1, path
            assert "javascript:" not in text, path
            assert "http" not in text.replace("http-equiv", ""), path


def test_the_exported_page_may_run_nothing_at_all(served: Served, told: Told) -> None:
    with served.visitor() as visitor:
        policy = visitor.get(f"/sessions/{told.heard}/report.html").headers[
            "Content-Security-Policy"
        ]
    assert "sandbox" in policy
    assert "default-src 'none'" in policy
    assert "allow-scripts" not in policy


def test_signing_out_ends_the_cookie_at_the_server(served: Served) -> None:
    with served.visitor() as visitor:
        kept = dict(visitor.cookies)
        assert visitor.post("/sign-out", data={"csrf": csrf(visitor)}).status_code == 303
        answer = httpx.get(f"{served.base}/", cookies=kept)
    assert answer.status_code == 401


def test_a_websocket_is_refused(served: Served) -> None:
    own = ":".join(map(str, served.address))
    line = raw(
        served,
        f"GET /live/events HTTP/1.1\r\nHost: {own}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n\r\n",
    )
    assert line.split()[1] in ("401", "403", "400"), line
