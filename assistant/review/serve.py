"""Serves the pages: on this machine only, or, with certificate and named users, beyond it."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import ServingError
from assistant.review.app import pages_of
from assistant.review.desk import Desk
from assistant.review.users import Users

MOST_AT_ONCE = 200


@dataclass(frozen=True, slots=True)
class Address:
    """Where to serve. ``names`` are further names of this machine by which browsers call it."""

    host: str = "127.0.0.1"
    port: int = 8437
    certificate: Path | None = None
    key: Path | None = None
    names: tuple[str, ...] = ()

    @property
    def loopback(self) -> bool:
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return self.host == "localhost"

    @property
    def tls(self) -> bool:
        return self.certificate is not None


def serve(desk: Desk, address: Address, who: str, tell: Callable[[str], None]) -> None:
    """Serves until it is interrupted; ``tell`` gets the lines for the terminal.

    Raises ServingError where the address can't be had, or would be open to others unprotected.
    """
    users = users_for(desk.store.home, address)
    with _listen(address) as listening:
        port = listening.getsockname()[1]
        hosts = [f"{_bracketed(name)}:{port}" for name in names_of(address)]
        standard = 443 if address.tls else 80
        if port == standard:
            hosts += [_bracketed(name) for name in names_of(address)]
        pages = pages_of(desk, hosts, users=users, tls=address.tls, who=who)
        base = f"{'https' if address.tls else 'http'}://{hosts[0]}"
        if users is None:
            tell(f"The pages: {base}/open/{pages.key}")
            tell(f"The screen at the bench: {base}/open/{pages.key}/live")
        else:
            tell(f"The pages: {base}/ (the screen at the bench: {base}/live)")
        tell("End with Ctrl-C.")
        _run(pages.app, listening, address)


def users_for(home: Path, address: Address) -> Users | None:
    """The users in ``home``; None where the link is enough, which is on this machine alone.

    Raises ServingError where the address would be open to others unprotected.
    """
    if (address.certificate is None) != (address.key is None):
        raise ServingError("A certificate goes with its key: give both --certificate and --key.")
    if address.loopback:
        return None
    if not address.tls:
        raise ServingError(
            f"{address.host} can be reached from other machines, so the pages need TLS there: give "
            "--certificate and --key. To serve this machine alone, leave --host out."
        )
    users = Users(home)
    if not users.names:
        raise ServingError(
            f"{address.host} can be reached from other machines, so the pages need named users: "
            "benchcall review --add-user NAME"
        )
    return users


def names_of(address: Address) -> list[str]:
    """The names by which browsers may call this server, the one to be printed first."""
    if address.loopback:
        return list(dict.fromkeys([address.host, "127.0.0.1", "localhost", *address.names]))
    named = [name.lower() for name in address.names]
    anywhere = address.host in ("0.0.0.0", "::")  # noqa: S104
    if anywhere and not named:
        raise ServingError(
            f"{address.host} is every address of this machine; say with --name by which name "
            "browsers call it."
        )
    return named if anywhere else list(dict.fromkeys([*named, address.host]))


def _bracketed(name: str) -> str:
    return f"[{name}]" if ":" in name else name


def _listen(address: Address) -> socket.socket:
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address.host, address.port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise ServingError(
            f"{address.host} port {address.port} can't be used ({error.strerror or error}). "
            "Give another with --port; 0 takes any that is free."
        ) from error
    return listening


def _run(app: object, listening: socket.socket, address: Address) -> None:
    import uvicorn

    config = uvicorn.Config(
        app,  # type: ignore[arg-type]
        log_level="warning",
        access_log=False,  # it would hold the key of the printed link
        server_header=False,
        date_header=False,
        lifespan="off",
        ws="none",
        proxy_headers=False,
        limit_concurrency=MOST_AT_ONCE,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=2,
        ssl_certfile=address.certificate,
        ssl_keyfile=address.key,
    )
    try:
        server = uvicorn.Server(config)
        config.load()
    except OSError as error:
        raise ServingError(
            f"The certificate or its key can't be used ({error.strerror or error}). Both must be "
            "PEM files that belong together, the key without a password."
        ) from error
    server.run(sockets=[listening])
