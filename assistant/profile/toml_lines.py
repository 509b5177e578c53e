"""On which line of a TOML file each value stands, so that an error can name it.

``tomllib`` gives values without places. This scanner walks over the text of a file that
``tomllib`` has already accepted, and only notes where each key, table and list item begins.
"""

from __future__ import annotations

import re
from bisect import bisect_right

Place = tuple[str | int, ...]
"""Where a value is: keys and list indices from the top, as pydantic names it."""

_GAP = re.compile(r"(?:\s|#[^\n]*)*")
_KEY = re.compile(r"[\w-]+|\"(?:[^\"\\]|\\.)*\"|'[^']*'")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'", re.DOTALL
)
_BARE = re.compile(r"\d{4}-\d\d-\d\d \d\d:[^,\]}\s#]+|[^,\]}\s#]+")


def toml_lines(text: str) -> dict[Place, int]:
    """Every place of a valid TOML text to its line, counted from 1."""
    return _Scanner(text.replace("\r\n", "\n")).scan()


def line_of(lines: dict[Place, int], place: Place) -> int | None:
    """The line of a place, or of the nearest table around it that is in the file."""
    for end in range(len(place), 0, -1):
        if place[:end] in lines:
            return lines[place[:end]]
    return None


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [match.start() for match in re.finditer("\n", text)]
        self.lines: dict[Place, int] = {}
        self.counts: dict[Place, int] = {}
        """How many items each [[list]] of tables has so far."""

    def scan(self) -> dict[Place, int]:
        table: Place = ()
        self._gap()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._gap()
        return self.lines

    def _gap(self) -> None:
        match = _GAP.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _note(self, place: Place) -> None:
        self.lines.setdefault(place, bisect_right(self.breaks, self.at) + 1)

    def _header(self) -> Place:
        listed = self.text.startswith("[[", self.at)
        self.at += 2 if listed else 1
        table: Place = ()
        keys = self._keys()
        for key in keys[:-1]:
            table = self._latest((*table, key))
        table = (*table, keys[-1])
        if listed:
            self._note(table)
            self.counts[table] = self.counts.get(table, 0) + 1
        table = self._latest(table)
        self._note(table)
        self.at += 2 if listed else 1
        return table

    def _latest(self, table: Place) -> Place:
        count = self.counts.get(table)
        return table if count is None else (*table, count - 1)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._gap()
            match = _KEY.match(self.text, self.at)
            if match is None:
                raise ValueError(f"no key at character {self.at}")
            keys.append(match[0].strip("\"'"))
            self.at = match.end()
            self._gap()
            if self.text[self.at] != ".":
                return keys
            self.at += 1

    def _pair(self, table: Place) -> None:
        start = self.at
        place = (*table, *self._keys())
        end, self.at = self.at, start
        self._note(place)
        self.at = end + 1  # the equals sign
        self._gap()
        self._value(place)

    def _value(self, place: Place) -> None:
        self._note(place)
        opening = self.text[self.at]
        if opening in "[{":
            self._items(place, "]" if opening == "[" else "}")
            return
        match = (_STRING if opening in "\"'" else _BARE).match(self.text, self.at)
        if match is None:
            raise ValueError(f"no value at character {self.at}")
        self.at = match.end()

    def _items(self, place: Place, closing: str) -> None:
        self.at += 1
        self._gap()
        index = 0
        while self.text[self.at] != closing:
            if closing == "]":
                self._value((*place, index))
            else:
                self._pair(place)
            index += 1
            self._gap()
            if self.text[self.at] == ",":
                self.at += 1
                self._gap()
        self.at += 1
