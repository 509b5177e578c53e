"""Opens an address over HTTPS and nothing else, wherever the server sends us on to."""

from __future__ import annotations

from http.client import HTTPException, HTTPMessage, HTTPResponse
from typing import IO
from urllib.error import HTTPError, URLError
from urllib.parse import urlsplit
from urllib.request import (
    HTTPDefaultErrorHandler,
    HTTPErrorProcessor,
    HTTPHandler,
    HTTPRedirectHandler,
    HTTPSHandler,
    OpenerDirector,
    ProxyHandler,
    Request,
    UnknownHandler,
)

from assistant import __version__
from assistant.errors import ModelError

TIMEOUT = 30.0
"""Seconds without a byte after which a server counts as gone."""
_LOOPBACK = ("127.0.0.1", "::1")


def open_https(address: str, *, beginning: int = 0, loopback_http: bool = False) -> HTTPResponse:
    """The answer to a GET, from byte ``beginning`` if the server can do that (status 206).

    ``loopback_http`` lets tests talk to a server on this machine. Raises ModelError, whose cause is
    an HTTPError where a server answered.
    """
    _guard(address, loopback_http)
    headers = {"User-Agent": f"benchcall/{__version__}"}
    if beginning:
        headers["Range"] = f"bytes={beginning}-"
    try:
        answer: HTTPResponse = _opener(loopback_http).open(
            Request(address, headers=headers),  # noqa: S310  (guarded above)
            timeout=TIMEOUT,
        )
        return answer
    except HTTPError as error:
        error.close()
        raise ModelError(
            f"{address} answered {error.code} ({error.reason}). Try again later."
        ) from error
    except (URLError, HTTPException, OSError) as error:
        why = error.reason if isinstance(error, URLError) else error
        raise ModelError(f"{address} can't be reached ({why}). See to the network.") from error


class _Redirects(HTTPRedirectHandler):
    def __init__(self, loopback_http: bool) -> None:
        self._loopback_http = loopback_http

    def redirect_request(
        self, req: Request, fp: IO[bytes], code: int, msg: str, headers: HTTPMessage, newurl: str
    ) -> Request | None:
        _guard(newurl, self._loopback_http)
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def _opener(loopback_http: bool) -> OpenerDirector:
    """Only what HTTPS needs: no handler for files, FTP or, outside tests, plain HTTP."""
    opener = OpenerDirector()
    handlers = [HTTPSHandler(), HTTPDefaultErrorHandler(), HTTPErrorProcessor(), UnknownHandler()]
    for handler in [*handlers, _Redirects(loopback_http)]:
        opener.add_handler(handler)
    opener.add_handler(HTTPHandler() if loopback_http else ProxyHandler())
    return opener


def _guard(address: str, loopback_http: bool) -> None:
    parts = urlsplit(address)
    secure = parts.scheme == "https" and bool(parts.hostname)
    local = loopback_http and parts.scheme == "http" and parts.hostname in _LOOPBACK
    if not (secure or local):
        raise ModelError(
            f"{address} is not an HTTPS address, so anybody on the way could change what comes. "
            "Nothing was fetched. Give one that begins with https://."
        )
