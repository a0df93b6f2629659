"""On which line of a TOML text each key stands."""

from __future__ import annotations

import re
from collections.abc import Mapping

__all__ = ["Place", "line_of", "lines_of"]

Place = tuple[str | int, ...]

_SPACE = re.compile(r"[ \t]*")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r"\"\"\"(?:[^\\]|\\.)*?\"\"\"(?!\")\"{0,2}|'''.*?'''(?!')'{0,2}"
    r"|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'",
    re.S,
)
_SCALAR = re.compile(r"[^,\]}#\n]*")


def lines_of(text: str) -> dict[Place, int]:
    r"""Line of every key, table and array element of a valid TOML text, counted from 1.

    Examples
    --------
    >>> places = lines_of('[part.leg]\nwidth = 45\n[[part.leg.ply]]\nwood = "ash"')
    >>> places["part", "leg", "width"], places["part", "leg", "ply", 0, "wood"]
    (2, 4)
    """
    return _Scanner(text).run()


def line_of(places: Mapping[Place, int], place: Place) -> int | None:
    """Line of a key, or of the nearest table round it that is written down.

    Examples
    --------
    >>> line_of({("part", "leg"): 7}, ("part", "leg", "width"))
    7
    """
    for end in range(len(place), 0, -1):
        if place[:end] in places:
            return places[place[:end]]
    return None


class _Scanner:
    """One pass over a text that the TOML reader has already accepted."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.places: dict[Place, int] = {}
        self.arrays: dict[Place, int] = {}  # index of the last table of each array of tables

    def run(self) -> dict[Place, int]:
        """Scan everything."""
        table: Place = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            start = self.at
            if self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table)
            self.skip(_BLANK)
            if self.at == start:
                break
        return self.places

    def skip(self, pattern: re.Pattern[str]) -> str:
        """Move past a pattern, counting lines."""
        found = pattern.match(self.text, self.at)
        word = found[0] if found else ""
        self.line += word.count("\n")
        self.at += len(word)
        return word

    def note(self, place: Place) -> None:
        """Remember where a place, and what holds it, is first written."""
        for end in range(1, len(place) + 1):
            self.places.setdefault(place[:end], self.line)

    def header(self) -> Place:
        """Take ``[table]`` or ``[[table]]``."""
        repeated = self.text.startswith("[[", self.at)
        self.at += 2 if repeated else 1
        keys = self.key()
        self.at += 2 if repeated else 1
        table: Place = ()
        for key in keys[:-1]:
            table = (*table, key)
            if table in self.arrays:
                table = (*table, self.arrays[table])
        table = (*table, keys[-1])
        if repeated:
            self.arrays[table] = self.arrays.get(table, -1) + 1
            table = (*table, self.arrays[table])
        self.note(table)
        self.places[table] = self.line
        return table

    def key(self) -> list[str]:
        """Take a dotted key."""
        keys: list[str] = []
        while True:
            self.skip(_SPACE)
            quoted = self.text[self.at : self.at + 1] in ("'", '"')
            word = self.skip(_STRING if quoted else _BARE_KEY)
            keys.append(word[1:-1] if quoted else word)
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def pair(self, table: Place) -> None:
        """Take ``key = value``."""
        place = (*table, *self.key())
        self.note(place)
        self.at += 1
        self.value(place)

    def value(self, place: Place) -> None:
        """Take a value, noting what is inside it."""
        self.skip(_SPACE)
        first = self.text[self.at : self.at + 1]
        if first in ("'", '"'):
            self.skip(_STRING)
        elif first in ("[", "{"):
            self.at += 1
            self.inside(place, "]" if first == "[" else "}")
        else:
            self.skip(_SCALAR)

    def inside(self, place: Place, end: str) -> None:
        """Take what stands between brackets, up to and with the closing one."""
        index = 0
        self.skip(_BLANK)
        while self.at < len(self.text) and not self.text.startswith(end, self.at):
            if end == "]":
                self.note((*place, index))
                self.value((*place, index))
            else:
                self.pair(place)
            index += 1
            self.skip(_BLANK)
            if not self.text.startswith(end, self.at):
                self.at += 1  # the comma
            self.skip(_BLANK)
        self.at += 1
