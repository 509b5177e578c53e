"""A PostgreSQL server of the tests' own: in a temporary folder, reached by a socket in it only."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.needs import need

_OPTIONS = "-c listen_addresses='' -c fsync=off -c full_page_writes=off -c shared_buffers=16MB"


def _programs() -> Path | None:
    """The newest server here: Debian keeps it off the path."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    path = shutil.which("initdb")
    return Path(path).parent if path else None


@contextmanager
def server() -> Iterator[str]:
    """The URL of a database on a new server, which is stopped and removed afterwards."""
    programs = _programs()
    need(programs is not None, "a PostgreSQL server (system package postgresql)")
    assert programs is not None
    # The server refuses to run as root.
    who: dict[str, Any] = {"user": "postgres", "group": "postgres"} if os.geteuid() == 0 else {}
    folder = Path(tempfile.mkdtemp(prefix="bc-pg-"))  # short: a socket's path has 107 bytes
    try:
        if who:
            shutil.chown(folder, **who)
        data = folder / "data"

        def run(*command: str) -> None:
            done = subprocess.run(
                [str(programs / command[0]), *command[1:]],
                cwd=folder,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                text=True,
                **who,
            )
            assert done.returncode == 0, done.stderr

        run("initdb", "-D", str(data), "-U", "bench", "-A", "trust", "-E", "UTF8", "--no-sync")
        options = f"-k {folder} {_OPTIONS}"
        run("pg_ctl", "start", "-w", "-D", str(data), "-l", str(folder / "log"), "-o", options)
        try:
            yield f"postgresql://bench@/postgres?host={folder}"
        finally:
            run("pg_ctl", "stop", "-m", "immediate", "-D", str(data))
    finally:
        shutil.rmtree(folder, ignore_errors=True)
