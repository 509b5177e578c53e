"""Served at another address: certificate, named users, and no other way in."""

from __future__ import annotations

import socket
import ssl
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import httpx
import pytest
from typer.testing import CliRunner

from assistant.commands import app
from assistant.errors import ServingError
from assistant.review.serve import Address, names_of, users_for
from assistant.review.users import FILE, Users
from tests.needs import need_command

from .conftest import a_depot
from .served import Served, csrf, serving

NAMES = "-subj /CN=depot.test -addext subjectAltName=DNS:depot.test,IP:127.0.0.1"
NAME, PASSWORD = "M. Bell", "hedge lamp chapel gate"


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    openssl = need_command("openssl", "openssl")
    folder = tmp_path_factory.mktemp("tls")
    certificate, key = folder / "certificate.pem", folder / "key.pem"
    made = f"req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 2 {NAMES}".split()
    where = ["-keyout", str(key), "-out", str(certificate)]
    subprocess.run([openssl, *made, *where], check=True, capture_output=True)
    return certificate, key


@pytest.fixture(scope="module")
def beyond(
    tmp_path_factory: pytest.TempPathFactory, certificate: tuple[Path, Path]
) -> Iterator[Served]:
    """Every address of this machine, called by a name of its own."""
    home = tmp_path_factory.mktemp("beyond")
    a_depot(home)
    Users(home).add(NAME, PASSWORD)
    options = ["--host", "0.0.0.0", "--name", "depot.test", "--name", "127.0.0.1"]
    options += ["--certificate", str(certificate[0]), "--key", str(certificate[1])]
    with serving(home, *options) as running:
        port = running.address[1]
        trust = ssl.create_default_context(cafile=certificate[0])
        yield replace(running, links=(f"https://127.0.0.1:{port}/",), verify=trust)


def sign_in(client: httpx.Client, base: str, name: str, password: str) -> httpx.Response:
    return client.post(
        "/sign-in", data={"name": name, "password": password}, headers={"Origin": base}
    )


def test_the_printed_address_has_a_name_and_no_key(beyond: Served) -> None:
    with beyond.stranger() as stranger:
        assert stranger.get("/").headers["Location"] == "/sign-in"
        for path in ("/open/", "/open/x", "/live/events"):
            assert stranger.get(path).headers["Location"] == "/sign-in"


def test_a_named_user_signs_in_and_changes_are_in_that_name_alone(beyond: Served) -> None:
    with beyond.stranger() as client:
        assert sign_in(client, beyond.base, NAME, "hedge lamp chapel gates").status_code == 403
        answer = sign_in(client, beyond.base, NAME, PASSWORD)
        assert answer.status_code == 303
        cookie = answer.headers["Set-Cookie"]
        assert cookie.startswith("__Host-")
        assert "secure" in cookie.lower()
        assert "httponly" in cookie.lower()
        assert "max-age=31536000" in client.get("/").headers["Strict-Transport-Security"]
        client.headers["Origin"] = beyond.base
        [session, *_] = sorted(p.name for p in (beyond.home / "sessions").iterdir())
        path = f"/sessions/{session}/notes"
        form = {"csrf": csrf(client), "text": "looked at", "who": "somebody else"}
        assert client.post(path, data=form).status_code == 303
        text = client.get(f"/sessions/{session}").text
        assert f"Note by {NAME}" in text
        assert "somebody else" not in text


def test_guessing_is_slowed_down_for_known_and_unknown_names_alike(beyond: Served) -> None:
    with beyond.stranger() as client:
        for name in ("nobody", "T. Ash"):
            seen = [sign_in(client, beyond.base, name, f"guess {i}").status_code for i in range(6)]
            assert seen == [403] * 5 + [429]
        assert sign_in(client, beyond.base, NAME, PASSWORD).status_code == 303


def test_a_sign_in_sent_by_another_site_is_refused(beyond: Served) -> None:
    with beyond.stranger() as client:
        answer = sign_in(client, "https://evil.example", NAME, PASSWORD)
        assert answer.status_code == 403
        assert "Set-Cookie" not in answer.headers


def test_plain_http_gets_nothing(beyond: Served) -> None:
    with socket.create_connection(beyond.address, timeout=30) as connection:
        connection.sendall(b"GET / HTTP/1.1\r\nHost: depot.test\r\n\r\n")
        assert not connection.recv(12).startswith(b"HTTP/1.1 2")


def test_another_address_demands_tls_and_users(
    tmp_path: Path, certificate: tuple[Path, Path]
) -> None:
    with pytest.raises(ServingError, match="need TLS"):
        users_for(tmp_path, Address(host="192.0.2.7"))
    with pytest.raises(ServingError, match="--add-user"):
        users_for(tmp_path, Address("192.0.2.7", 0, *certificate))
    with pytest.raises(ServingError, match="give both"):
        users_for(tmp_path, Address("192.0.2.7", 0, certificate[0]))
    with pytest.raises(ServingError, match="--name"):
        names_of(Address("0.0.0.0", 0, *certificate))
    assert users_for(tmp_path, Address("127.0.0.1")) is None
    assert users_for(tmp_path, Address("::1")) is None


def test_the_command_refuses_an_open_address_with_exit_1(tmp_path: Path) -> None:
    done = CliRunner(env={"BENCHCALL_HOME": str(tmp_path)}).invoke(
        app, ["review", "--host", "0.0.0.0", "--port", "0"]
    )
    assert isinstance(done.exception, ServingError)


def test_a_port_that_is_taken_is_told_with_what_to_do(tmp_path: Path) -> None:
    runner = CliRunner(env={"BENCHCALL_HOME": str(tmp_path)})
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = runner.invoke(app, ["review", "--host", "localhost", "--port", port])
    assert isinstance(done.exception, ServingError)
    assert "0 takes any that is free" in str(done.exception)


def test_a_certificate_that_is_none_is_told(tmp_path: Path) -> None:
    (tmp_path / "no.pem").write_text("no certificate")
    Users(tmp_path).add(NAME, PASSWORD)
    both = ["--certificate", str(tmp_path / "no.pem"), "--key", str(tmp_path / "no.pem")]
    where = ["--host", "0.0.0.0", "--name", "depot.test", "--port", "0"]
    runner = CliRunner(env={"BENCHCALL_HOME": str(tmp_path)})
    done = runner.invoke(app, ["review", *where, *both])
    assert isinstance(done.exception, ServingError)
    assert "PEM files that belong together" in str(done.exception)


def test_a_list_of_users_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(ServingError, match="BENCHCALL_HOME"):
        Users(tmp_path / "file" / "home").add(NAME, PASSWORD)


def test_a_user_is_added_by_the_command_and_the_file_is_the_owners_alone(tmp_path: Path) -> None:
    runner = CliRunner(env={"BENCHCALL_HOME": str(tmp_path)})
    done = runner.invoke(app, ["review", "--add-user", NAME], input=f"{PASSWORD}\n{PASSWORD}\n")
    assert done.exit_code == 0, done.output
    assert PASSWORD not in done.output
    path = tmp_path / FILE
    assert path.stat().st_mode & 0o077 == 0
    assert PASSWORD not in path.read_text("utf-8")
    users = Users(tmp_path)
    assert users.proves(NAME, PASSWORD)
    assert not users.proves(NAME, PASSWORD + "s")
    assert not users.proves("nobody", PASSWORD)


def test_short_passwords_strange_names_and_damaged_files_are_told(tmp_path: Path) -> None:
    users = Users(tmp_path)
    with pytest.raises(ServingError, match="12 to 200"):
        users.add(NAME, "short")
    with pytest.raises(ServingError, match="Choose a name"):
        users.add("<b>", PASSWORD)
    (tmp_path / FILE).write_text("[]")
    with pytest.raises(ServingError, match="add its users again"):
        Users(tmp_path)
    (tmp_path / FILE).write_text('{"MB": "no hash"}')
    assert not Users(tmp_path).proves("MB", "no hash")
