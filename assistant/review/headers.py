"""The headers of every response: a browser that has them runs nothing but the two files of ours.

Numbers in comments are the requirements of the OWASP ASVS 5.0.
"""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "media-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",  # 3.4.6
        "base-uri 'none'",  # 3.4.3
        "object-src 'none'",  # 3.4.3
        "require-trusted-types-for 'script'",
    )
)

HEADERS = {
    "Content-Security-Policy": POLICY,  # 3.4.3
    "X-Content-Type-Options": "nosniff",  # 3.4.4
    "Referrer-Policy": "same-origin",  # 3.4.5; "no-referrer" would empty Origin in our own forms
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}
ONE_YEAR = 31_536_000


class Headers:
    """Around the whole application, so that errors carry them too."""

    def __init__(self, app: ASGIApp, tls: bool) -> None:
        self._app = app
        self._headers = dict(HEADERS)
        if tls:
            self._headers["Strict-Transport-Security"] = f"max-age={ONE_YEAR}"  # 3.4.1

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers.setdefault(name, value)
            await send(message)

        await self._app(scope, receive, sent)
