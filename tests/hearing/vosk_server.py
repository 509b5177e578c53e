"""A server on this machine that offers a small model as Vosk's own server does, or fails at it."""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

NAME = "vosk-model-small-en-us-0.15"
FILES = {
    f"{NAME}/am/final.mdl": b"".join(hashlib.sha256(bytes([n])).digest() for n in range(200)),
    f"{NAME}/graph/HCLr.fst": bytes(range(256)) * 300,
    f"{NAME}/graph/Gr.fst": b"grammar",
    f"{NAME}/README": b"a model",
}


def zipped(files: dict[str, bytes] | None = None) -> bytes:
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
        for name, content in (FILES if files is None else files).items():
            archive.writestr(name, content)
    return packed.getvalue()


class VoskServer:
    """What it offers and how it misbehaves; change it between requests. ``ranges`` are the Range
    headers it was sent for the archive, "" where there was none."""

    def __init__(self, archive: bytes) -> None:
        self.archive = archive
        self.md5 = hashlib.md5(archive).hexdigest()
        self.size = len(archive)
        self.address = ""
        self.breaks_after: int | None = None
        self.knows_ranges = True
        self.status = 200
        self.moved_to = ""
        self.ranges: list[str] = []

    def list(self) -> bytes:
        def row(name: str, lang: str, kind: str, obsolete: str) -> dict[str, object]:
            return {
                "name": name,
                "lang": lang,
                "type": kind,
                "obsolete": obsolete,
                "md5": self.md5,
                "size": self.size,
            }

        rows = [
            row("vosk-model-small-de-0.15", "de", "small", "false"),
            row("vosk-model-en-us-0.22", "en-us", "big", "false"),
            row("vosk-model-small-en-us-0.3", "en-us", "small", "true"),
            row(NAME, "en-us", "small", "false"),
        ]
        return json.dumps(rows).encode()


@contextmanager
def serving(server: VoskServer) -> Iterator[VoskServer]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            if self.path.endswith("model-list.json"):
                self._send(200, server.list())
                return
            wanted = self.headers.get("Range", "")
            server.ranges.append(wanted)
            if server.moved_to:
                self.send_response(302)
                self.send_header("Location", server.moved_to)
                self.end_headers()
            elif server.status != 200:
                self._send(server.status, b"no")
            elif wanted and server.knows_ranges:
                first = int(wanted.removeprefix("bytes=").removesuffix("-"))
                if first >= len(server.archive):
                    self._send(416, b"")
                else:
                    self._send(206, server.archive[first:], first)
            else:
                self._send(200, server.archive)

        def _send(self, status: int, body: bytes, first: int = 0) -> None:
            self.send_response(status)
            self.send_header("Content-Length", str(len(body)))
            if status == 206:
                last = first + len(body) - 1
                self.send_header("Content-Range", f"bytes {first}-{last}/{len(server.archive)}")
            self.end_headers()
            if status in (200, 206) and server.breaks_after is not None and "zip" in self.path:
                body = body[: server.breaks_after]
                self.close_connection = True
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    httpd = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.address = f"http://127.0.0.1:{httpd.server_port}/vosk/models/"
    thread = threading.Thread(target=httpd.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield server
    finally:
        httpd.shutdown()
        thread.join()
        httpd.server_close()
