"""A real `benchcall review` in a process of its own, and browsers-to-be that talk to it."""

from __future__ import annotations

import os
import queue
import re
import signal
import ssl
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import httpx

PATIENCE = 60.0
PROGRAM = "from assistant.commands import main; main()"


@dataclass(frozen=True, slots=True)
class Served:
    """``links`` are those that it printed: the pages, then the screen at the bench."""

    home: Path
    links: tuple[str, ...]
    verify: ssl.SSLContext | bool = True
    process: int = 0

    @property
    def base(self) -> str:
        parts = urlsplit(self.links[0])
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def address(self) -> tuple[str, int]:
        parts = urlsplit(self.links[0])
        assert parts.hostname is not None
        assert parts.port is not None
        return parts.hostname, parts.port

    def stranger(self) -> httpx.Client:
        """Somebody who has no link."""
        return httpx.Client(base_url=self.base, verify=self.verify, timeout=PATIENCE)

    @contextmanager
    def visitor(self) -> Iterator[httpx.Client]:
        """Somebody who opened the link, and sends Origin with what they post as browsers do."""
        with self.stranger() as client:
            assert client.get(self.links[0]).status_code == 303
            client.headers["Origin"] = self.base
            yield client


def csrf(client: httpx.Client, path: str = "/") -> str:
    """What the forms of this visitor carry."""
    match = re.search(r'name="csrf" value="([^"]+)"', client.get(path).text)
    assert match is not None
    return match[1]


@contextmanager
def serving(home: Path, *options: str) -> Iterator[Served]:
    """Ends the process when done, and fails when it did not end by itself."""
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "review", "--port", "0", *options],
        env={**os.environ, "BENCHCALL_HOME": str(home), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    lines: queue.Queue[str] = queue.Queue()
    assert process.stdout is not None
    thread = threading.Thread(target=_read, args=(process, lines), daemon=True)
    thread.start()
    told = []
    try:
        while not told or "Ctrl-C" not in told[-1]:
            told.append(lines.get(timeout=PATIENCE))
            assert told[-1], "".join(told)
        links = tuple(re.findall(r"https?://[^ \n)]+", "".join(told)))
        yield Served(home, links, process=process.pid)
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(PATIENCE)
        thread.join(PATIENCE)
        process.stdout.close()


def _read(process: subprocess.Popen[str], lines: queue.Queue[str]) -> None:
    assert process.stdout is not None
    for line in process.stdout:
        lines.put(line)
    lines.put("")
