"""Runs the collected tests once as they are, then once for each mutant, each time in a fork."""

from __future__ import annotations

import gc
import json
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import CodeType, FunctionType

import pytest
from hypothesis import Phase, settings

from tests.mutants.faults import Mutant

MEMORY = 6 << 30
"""Bytes a mutant may take."""


class FewExamples:
    """Twenty examples a property, always the same, and a failing one is not made smaller."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        phases = (Phase.explicit, Phase.generate)
        settings.register_profile(
            "few", settings(), max_examples=20, derandomize=True, database=None, phases=phases
        )
        settings.load_profile("few")


class Forks(FewExamples):
    """A plugin of pytest. ``left``: mutants of code that runs on import, which no fork can have."""

    def __init__(self, tried: Sequence[Mutant], jobs: int, ended: Callable[[Mutant], None]) -> None:
        self.tried, self.jobs, self.ended = tried, jobs, ended
        self.left: list[Mutant] = []
        self.running: dict[int, Mutant] = {}
        self.seconds = 0.0
        self.on_import: set[CodeType] = set()
        sys.setprofile(lambda frame, *_: self.on_import.add(frame.f_code))

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        sys.setprofile(None)
        live = {
            (code.co_filename, code.co_name, code.co_firstlineno): each
            for each in gc.get_objects()
            if isinstance(each, FunctionType) and (code := each.__code__) not in self.on_import
        }
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            self._as_it_is(session, folder)
            for mutant in self.tried:
                function = live.get((str(Path(mutant.path).resolve()), *(mutant.function or ())))
                if not function:
                    self.left.append(mutant)
                    continue
                if len(self.running) == self.jobs:
                    self._reap(folder)
                self.running[_fork(partial(self._try, session, mutant, function), folder)] = mutant
            while self.running:
                self._reap(folder)
        return True

    def _as_it_is(self, session: pytest.Session, folder: Path) -> None:
        """Nothing may fail; from now on the quick tests come first."""
        pid = _fork(lambda: json.dumps([dict(_run(session)), session.testsfailed]), folder)
        os.waitpid(pid, 0)
        took, failed = json.loads((folder / str(pid)).read_text())
        if failed:
            raise pytest.UsageError(f"As it is, {list(took)[-1]} fails: mend that first.")
        session.items.sort(key=lambda item: took[item.nodeid])
        self.seconds = 10 + 8 * sum(took.values())

    def _try(self, session: pytest.Session, mutant: Mutant, function: FunctionType) -> str:
        limit(self.seconds)
        function.__code__ = _found(mutant.code(), function.__code__)
        ran = list(_run(session))
        return ran[-1][0] if session.testsfailed else ""

    def _reap(self, folder: Path) -> None:
        pid, _ = os.wait()
        said = folder / str(pid)
        noticed = said.read_text() if said.exists() else "took too long, or ended pytest"
        self.ended(replace(self.running.pop(pid), noticed=noticed))


def limit(seconds: float) -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds)))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def _fork(work: Callable[[], str], folder: Path) -> int:
    """The process that writes what the work returns into a file named after itself."""
    pid = os.fork()
    if pid:
        return pid
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        tempfile.tempdir = tempfile.mkdtemp(dir=folder)
        said = work()
        unfinished = Path(tempfile.tempdir) / "said"
        unfinished.write_text(said)
        unfinished.rename(folder / str(os.getpid()))
    finally:
        os._exit(0)


def _run(session: pytest.Session) -> Iterator[tuple[str, float]]:
    """Each test and its seconds, up to the first that fails."""
    for item, after in zip(session.items, [*session.items[1:], None], strict=True):
        began = time.process_time()
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        yield item.nodeid, time.process_time() - began
        if session.testsfailed:
            return


def _found(module: CodeType, function: CodeType) -> CodeType:
    """The function's code in another compilation of its module."""
    codes = [module]
    while codes:
        code = codes.pop()
        if (code.co_name, code.co_firstlineno) == (function.co_name, function.co_firstlineno):
            return code
        codes += [each for each in code.co_consts if isinstance(each, CodeType)]
    raise LookupError(function.co_qualname)
