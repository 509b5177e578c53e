"""The scanner finds the line of every value of a valid file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from assistant.profile.toml_lines import Place, line_of, toml_lines
from assistant.shipped import shipped

ODD = '''\
# a comment = "not a key"
"quoted key" = 'one # not a comment' # but this is
long = """
first ] } line
second \\" line"""
literal = \'\'\'
x = 1
\'\'\'
a.b.c = 3
when = 1979-05-27 07:32:00
mixed = [ # opens
    { deep = [1, [2, 3]] },
    # nothing

    { deep = [
      ], other = 0x1F },
]
[ table . "sub" ]
yes = true
[[many]]
n = 1
[many.inside]
k = 1
[[many.list]]
v = 1
[[many]]
n = 2
[[many.list]]
v = 2
[[many.list]]
v = 3
'''


def leaves(value: Any, place: Place = ()) -> Iterator[tuple[Place, Any]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*place, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, (*place, index))
    else:
        yield place, value


@pytest.mark.parametrize("name", ["robot_mower", "spoken"])
def test_each_value_of_a_shipped_file_stands_on_the_line_that_is_told(name: str) -> None:
    text = (shipped("grammars") / f"{name}.toml").read_text("utf-8")
    lines, rows = toml_lines(text), text.splitlines()
    found = list(leaves(tomllib.loads(text)))
    assert len(found) > 200
    for place, value in found:
        row = rows[lines[place] - 1].partition(" #")[0]
        numbers = {float(word) for word in re.findall(r"-?\d+(?:\.\d+)?", row)}
        told = value in row if isinstance(value, str) else "true" in row or value in numbers
        assert told, place


@pytest.mark.parametrize(
    ("place", "line"),
    [
        (("quoted key",), 2),
        (("long",), 3),
        (("literal",), 6),
        (("a", "b", "c"), 9),
        (("when",), 10),
        (("mixed",), 11),
        (("mixed", 0, "deep", 1, 1), 12),
        (("mixed", 1, "other"), 16),
        (("table", "sub", "yes"), 19),
        (("many",), 20),
        (("many", 0, "n"), 21),
        (("many", 0, "inside", "k"), 23),
        (("many", 0, "list", 0, "v"), 25),
        (("many", 1, "n"), 27),
        (("many", 1, "list", 1, "v"), 31),
    ],
)
def test_every_way_of_writing_toml_is_followed(place: Place, line: int) -> None:
    tomllib.loads(ODD)
    assert toml_lines(ODD)[place] == line
    assert toml_lines(ODD.replace("\n", "\r\n"))[place] == line


def test_what_is_missing_is_told_at_the_table_around_it() -> None:
    lines = toml_lines(ODD)
    assert line_of(lines, ("many", 1, "list", 1, "w")) == 30
    assert line_of(lines, ("nowhere", "at all")) is None
