"""Puts every small fault into code, one at a time, and tells which of them no test notices.

    python -m tests.mutants.run assistant/wording/*.py --tests tests/wording --jobs 16

The tests are collected once; each fault is tried in a fork in which one function has other code.
What runs on import (tables, defaults, what they call) is tried in a process of its own. To take too
much processor time or memory counts as noticed. Twenty examples a property. Begun again with the
same file, it goes on where it stopped.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, replace
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

from tests.mutants.faults import Mutant, mutants
from tests.mutants.forks import FewExamples, Forks, limit

PLAIN = ["-x", "-q", "--tb=no", "-p", "no:cacheprovider", "-p", "no:faulthandler"]
PLAIN += ["-W", "ignore:Module already imported:pytest.PytestAssertRewriteWarning"]
SECONDS = 120
"""Of processor time, for the tests of a mutant in its own process."""


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("paths", nargs="+")
    options.add_argument("--tests", nargs="+", required=True, help="what pytest takes")
    options.add_argument("--jobs", type=int, default=2)
    options.add_argument("--out", type=Path, default=Path("mutants.jsonl"))
    options.add_argument("--again", type=Path, help="only those that no test noticed there")
    options.add_argument("--alone", type=int, help="only the one of this number, in this process")
    given = options.parse_args()
    every = [mutant for path in given.paths for mutant in mutants(path)]
    if given.alone is not None:
        raise SystemExit(alone(every[given.alone], given.tests))
    if given.again:
        lived = {_kind(mutant) for mutant in _written(given.again) if not mutant.noticed}
        every = [mutant for mutant in every if _kind(mutant) in lived]
    done = {(mutant.path, mutant.number) for mutant in _written(given.out)}
    rest = [mutant for mutant in every if (mutant.path, mutant.number) not in done]
    try_all(rest, given.tests, given.jobs, given.out)
    lived = [mutant for mutant in _written(given.out) if not mutant.noticed]
    for mutant in lived:
        print(f"{mutant.path}:{mutant.line}: {mutant.before.strip()}  ->  {mutant.after.strip()}")
    print(f"{len(lived)} of {len(every)} are noticed by no test.")


def try_all(every: list[Mutant], tests: list[str], jobs: int, out: Path) -> None:
    """Writes each mutant to the file as soon as it has ended."""
    with out.open("a") as file:

        def ended(mutant: Mutant) -> None:
            print(json.dumps(asdict(mutant)), file=file, flush=True)

        forks = Forks(every, jobs, ended)
        if pytest.main([*PLAIN, *tests], plugins=[forks]):
            raise SystemExit("The tests could not be run as they are.")
        with ThreadPoolExecutor(jobs) as pool:
            for mutant in forks.left:
                pool.submit(lambda m=mutant: ended(_in_its_own_process(m, tests)))


def alone(mutant: Mutant, tests: list[str]) -> int:
    """Pytest's exit status with the mutant there from the first import."""
    code, whole = mutant.code(), SourceFileLoader.get_code

    def get_code(loader: SourceFileLoader, name: str) -> object:
        return code if loader.path == code.co_filename else whole(loader, name)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]
    limit(SECONDS)
    return pytest.main([*PLAIN, *tests], plugins=[FewExamples()])


def _in_its_own_process(mutant: Mutant, tests: list[str]) -> Mutant:
    command = [
        sys.executable,
        "-m",
        "tests.mutants.run",
        mutant.path,
        "--alone",
        str(mutant.number),
    ]
    ran = subprocess.run([*command, "--tests", *tests], capture_output=True, text=True)
    failed = [line for line in ran.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return replace(mutant, noticed=" ".join(failed[:1]) or ("" if ran.returncode == 0 else "ended"))


def _written(path: Path) -> list[Mutant]:
    lines = path.read_text().splitlines() if path.exists() else []
    return [Mutant(**json.loads(line)) for line in lines]


def _kind(mutant: Mutant) -> tuple[object, ...]:
    """What it is, wherever the lines of its file have moved to since."""
    return mutant.path, mutant.function and mutant.function[0], mutant.before, mutant.after


if __name__ == "__main__":
    main()
