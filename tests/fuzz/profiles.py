"""Profiles: a file is taken whole or refused with its line; it never runs or opens anything."""

from __future__ import annotations

import re
import sys
import tempfile
from functools import cache
from pathlib import Path

from assistant.errors import ProfileError
from assistant.profile import Profile, load_spoken
from assistant.profile.load import read_profile
from assistant.profile.sayable import word_graph
from assistant.shipped import shipped
from assistant.wording.parser import Parser

from .bytes_of_chance import Chance

MOST_BYTES = 40_000
HOSTILE = (
    *('""', '" "', "0", "-1", "1e308", "-inf", "nan", "9" * 40, "1e999", "true", "[]", "{}"),
    *("[[]]", '["a", "a"]', "[1, 0]", "2026-11-25", '"{0.__class__}"', '"{{7*7}}"', '"%s%n"'),
    *('"../../etc/passwd"', '"file:///etc/passwd"', '"$(id)"', "\"__import__('os')\""),
    *('"(a+)+$"', '"' + "a" * 3000 + '"', '"\\u0000"', '"\\u001b[2J"', '"\\u202e"', "'''", '"""'),
    *('"one"', '"front"', '"correction"', '"docked"', '"is"', "-0.0", "0.1", "1e-320", "[1e308]"),
    *("9" * 5000, "0x" + "f" * 5000, "[0, " + "9" * 5000 + "]", "a." * 300),
)
KEYS = ("id", "spoken", "plausible", "unit", "kind", "when", "low", "source", "needs", "[quantity]")
WATCHED = ("open", "exec", "compile", "import", "os.", "subprocess.", "socket.", "shutil.")


@cache
def lines() -> tuple[str, ...]:
    return tuple((shipped("grammars") / "garden_tractor.toml").read_text("utf-8").splitlines())


class Watch:
    """What is opened, run or imported while it looks. A hook of this kind can't be taken away."""

    def __init__(self) -> None:
        self.looking = False
        self.seen: list[str] = []
        sys.addaudithook(self._hook)

    def _hook(self, event: str, arguments: tuple[object, ...]) -> None:
        if self.looking and event.startswith(WATCHED):
            self.seen.append(f"{event} {arguments!r}"[:300])


@cache
def watch() -> Watch:
    return Watch()


@cache
def folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="benchcall-fuzz-"))


def seeds() -> list[bytes]:
    found = [
        bytes([1, kind, 0, line, line, line]) for kind in range(8) for line in range(0, 250, 9)
    ]
    return [*found, b"\x00" + "\n".join(lines()[:60]).encode()]


def check(data: bytes) -> None:
    text = written(data)
    path = folder() / "own.toml"
    path.write_bytes(text)
    profile = read(path, text.count(b"\n") + 1)
    if profile is None:
        return
    spoken = load_spoken()
    word_graph(profile, spoken)
    parser = Parser(profile, spoken)
    for quantity in profile.quantity:
        parser.parse_text(f"{quantity.spoken[0]} one oh two")


def read(path: Path, lines_in_it: int) -> Profile | None:
    load_spoken()
    watch().seen.clear()
    watch().looking = True
    try:
        return read_profile(path)
    except ProfileError as error:
        watch().looking = False
        refused_with_its_line(str(error), path, lines_in_it)
        return None
    finally:
        watch().looking = False
        others = [one for one in watch().seen if str(path) not in one]
        assert not others, others


def refused_with_its_line(message: str, path: Path, lines_in_it: int) -> None:
    for told in message.split(f"{path}")[1:]:
        if "more; mend these first" in told or "allowed: a profile." in told:
            continue
        if "lists within lists" in told:
            continue
        place = re.match(r", line (\d+)", told)
        assert place or ": found nothing; allowed: " in told, told  # what is not there has no line
        assert place is None or 1 <= int(place[1]) <= lines_in_it, told
    assert message.startswith(str(path))
    assert all(letter.isprintable() or letter == "\n" for letter in message), ascii(message)


def written(data: bytes) -> bytes:
    """A shipped profile with some lines spoilt; or, one time of sixteen, the bytes as they are."""
    chance = Chance(data)
    if chance.number(16) == 0:
        return data[1:]
    text = list(lines())
    while chance and text:
        kind, at = chance.number(8), chance.number(1000) % len(text)
        other = chance.number(1000) % len(text)
        key, equals, value = text[at].partition(" = ")
        if kind == 0:
            del text[at]
        elif kind == 1:
            text.insert(other, text[at])
        elif kind == 2:
            text[at] = f"{key} = {chance.one_of(HOSTILE)}"
        elif kind == 3:
            text[at] = f"{chance.one_of(KEYS)} = {value}"
        elif kind == 4:
            text[at], text[other] = text[other], text[at]
        elif kind == 5:
            text[at] = f"{key}{equals}{text[other].partition(' = ')[2]}"
        elif kind == 6:
            piece = chance.raw(20).decode("utf-8", "replace")
            cut = chance.number(len(text[at]) + 1)
            text[at] = text[at][:cut] + piece + text[at][cut:]
        else:
            words = re.findall(r"[a-z_]+", text[other]) or ["x"]
            text[at] = re.sub(r"[a-z_]+(?=\")", chance.one_of(words), text[at], count=1)
    return "\n".join(text).encode("utf-8", "surrogateescape")[:MOST_BYTES]
