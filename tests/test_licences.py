"""Whoever passes benchcall on may do so: every package that it needs, and what those need in turn,
is under a permissive licence by its own metadata, or is named here with what it asks for."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement

HERE = Path(__file__).parents[1]
PROJECT = tomllib.loads((HERE / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = ("archive", "postgresql", "second-ear")

PERMISSIVE = frozenset(
    {
        *("0BSD", "Apache-2.0", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC"),
        *("MIT", "MIT-0", "MIT-CMU", "PSF-2.0", "Unlicense", "Zlib"),
    }
)
"""SPDX identifiers; "BSD" is what older metadata calls either."""

ASKS_FOR_MORE = {
    "certifi": ("MPL-2.0", "a list of certificates: changes to its files stay open"),
    "espeakng-loader": ("", "brings eSpeak NG, GPL-3.0-or-later: see models/README.md"),
    "psycopg": ("LGPL-3.0-only", "extra postgresql: replaceable library, used unchanged"),
    "psycopg-binary": ("LGPL-3.0-only", "extra postgresql: replaceable library, used unchanged"),
    "soxr": ("LGPL-2.1-or-later", "replaceable library, used unchanged"),
    "tqdm": ("MPL-2.0 AND MIT", "changes to its files stay open"),
}
"""What is not simply permissive: the licence that was found and read, and what follows."""

SPDX = {
    "3-Clause BSD License": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache License 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD 3-Clause License": "BSD-3-Clause",
    "BSD License": "BSD",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL-3.0-only",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
"""Trove classifiers and older licence fields, as SPDX has them."""


def needed(requirements: Iterable[str]) -> Iterator[str]:
    """Names of the distributions here that fulfil them, and those that these need, each once."""
    seen: set[tuple[str, str]] = set()
    told: set[str] = set()
    waiting = [Requirement(text) for text in requirements]
    while waiting:
        one = waiting.pop()
        name = re.sub(r"[-_.]+", "-", one.name).lower()
        for extra in ("", *sorted(one.extras)):
            if (name, extra) in seen:
                continue
            seen.add((name, extra))
            try:
                found = distribution(name)
            except PackageNotFoundError:  # an extra that is not installed: nothing to read
                continue
            if name not in told:
                told.add(name)
                yield name
            for more in map(Requirement, found.requires or ()):
                if more.marker is None or more.marker.evaluate({"extra": extra}):
                    waiting.append(more)


def licence(name: str) -> str:
    """Its SPDX expression as far as its metadata tell: the expression, else the classifier, else
    the first line of the old field; "" for none."""
    told = distribution(name).metadata
    # Not told[...]: with the backport of importlib.metadata that raises for what is missing.
    for expression in told.get_all("License-Expression") or ():
        return str(expression)
    classifiers = [c for c in told.get_all("Classifier") or () if c.startswith("License ::")]
    names = [c.rpartition(" :: ")[2] for c in classifiers if c != "License :: OSI Approved"]
    line = "".join(told.get_all("License") or ()).strip().splitlines()[:1]
    found = names or [one for one in line if one != "UNKNOWN"]
    return " AND ".join(SPDX.get(one, one) for one in found)


def is_permissive(expression: str) -> bool:
    """Whether all of it is, or one side of each choice."""
    parts = [part.strip("() ") for part in expression.split(" AND ")]
    return all(any(p.strip("() ") in PERMISSIVE for p in part.split(" OR ")) for part in parts)


WANTED = [*PROJECT["dependencies"]]
for _extra in EXTRAS:
    WANTED += PROJECT["optional-dependencies"][_extra]
NEEDED = sorted(needed(WANTED))


@pytest.mark.parametrize("name", NEEDED)
def test_a_package_that_is_needed_may_be_passed_on(name: str) -> None:
    found = licence(name)
    if name in ASKS_FOR_MORE:
        assert found == ASKS_FOR_MORE[name][0], f"{name} changed its licence: read it again"
    else:
        assert is_permissive(found), f"{name}: {found or 'no licence in its metadata'}"


def test_the_whole_of_what_is_needed_was_read() -> None:
    direct = {re.sub(r"[-_.]+", "-", Requirement(text).name).lower() for text in WANTED}
    assert direct <= set(NEEDED)
    assert len(NEEDED) > len(direct)


@pytest.mark.parametrize(
    ("expression", "allowed"),
    [
        ("MIT", True),
        ("Apache-2.0 OR GPL-3.0-only", True),
        ("MIT AND GPL-3.0-only", False),
        ("LGPL-2.1-or-later", False),
        ("", False),
        ("Proprietary", False),
    ],
)
def test_a_licence_that_is_not_permissive_is_refused(expression: str, allowed: bool) -> None:
    assert is_permissive(expression) is allowed


def test_our_own_licence_stands_in_the_file_and_in_the_metadata() -> None:
    text = (HERE / "LICENSE").read_text("utf-8")
    assert text.startswith("MIT License")
    assert PROJECT["license"] == "MIT"
    assert "models/README.md" in PROJECT["license-files"], "its notices go into the wheel"


def test_what_ships_and_is_not_ours_has_its_notice() -> None:
    notices = (HERE / "models" / "README.md").read_text("utf-8")
    for part in (
        "Whisper",
        "Copyright (c) 2022 OpenAI",
        "CMUdict",
        "eSpeak NG",
        "GPL-3.0-or-later",
    ):
        assert part in notices
    for name, (expression, _) in ASKS_FOR_MORE.items():
        assert name in notices, name
        assert expression in notices, expression
