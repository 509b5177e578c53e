"""Keeps acceptors on the disk, since making one takes longer than all else at the start.

A kept one is found by the SHA-256 of what it was made from, so a changed profile makes its own.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Collection
from functools import lru_cache
from pathlib import Path

from assistant.hearing.acceptor import Acceptor, acceptor
from assistant.home import default_home
from assistant.profile.word_graph import WordGraph

MADE_BY = 1
"""Raise it when acceptors are made in another way."""
MOST_KEPT = 8


def kept_acceptor(graph: WordGraph, without: Collection[str] = frozenset()) -> Acceptor:
    """The same as ``acceptor``; where nothing can be kept it only takes longer."""
    return _kept(graph, tuple(sorted(without)), default_home() / "grammars")


@lru_cache(maxsize=4)
def _kept(graph: WordGraph, without: tuple[str, ...], folder: Path) -> Acceptor:
    made_from = json.dumps([MADE_BY, graph.arcs, graph.start, sorted(graph.finals), without])
    path = folder / f"{hashlib.sha256(made_from.encode()).hexdigest()[:32]}.json"
    found = _read(path)
    if found is None:
        found = acceptor(graph, without)
        _write(path, found)
    return found


def _read(path: Path) -> Acceptor | None:
    """None where there is none, or a damaged one."""
    try:
        steps, finals = json.loads(path.read_text("utf-8"))
        known = range(len(steps))
        whole = all(target in known for step in steps for target in step.values())
        return Acceptor(tuple(steps), frozenset(finals)) if whole else None
    except (OSError, ValueError, TypeError, AttributeError):
        return None


def _write(path: Path, made: Acceptor) -> None:
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        new = path.with_name(f"{path.name}.{os.getpid()}")
        new.write_text(json.dumps([made.steps, sorted(made.finals)]), "utf-8")
        new.replace(path)
        by_age = sorted(path.parent.glob("*.json"), key=lambda file: file.stat().st_mtime_ns)
        for old in by_age[:-MOST_KEPT]:
            old.unlink()
