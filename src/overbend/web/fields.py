"""Values of the project file as the page shows and takes them.

A field knows its key, what the file says there (a number, a fraction, an expression) and what
that comes to. What a maker types is put into the file the way a maker would have written it:
a bare number stays one when the page shows the file's own unit, and gets the page's unit
otherwise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, TypeAlias

from overbend.project import Loaded, Project
from overbend.project.jsonschema import schema_at
from overbend.units import (
    Display,
    format_angle,
    format_force,
    format_length,
    format_pressure,
    format_temperature,
)
from overbend.web.words import words

__all__ = ["Fields", "kind_of", "place_of", "typed"]

_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")
_LETTERS = re.compile(r"[A-Za-z'\"′″]")
Raw = dict[str, Any]
TomlValue: TypeAlias = Any


@lru_cache(maxsize=4096)
def place_of(key: str) -> tuple[str | int, ...]:
    """Place in the file of a dotted key; list elements are numbers from 0.

    Examples
    --------
    >>> place_of("part.leg.ply.0.wood")
    ('part', 'leg', 'ply', 0, 'wood')
    """
    return tuple(int(s) if s.isdigit() and i > 1 else s for i, s in enumerate(key.split(".")))


def kind_of(key: str, raw: Raw) -> dict[str, Any]:
    """JSON Schema of the value under a key of a file.

    Examples
    --------
    >>> kind_of("part.leg.width", {"part": {"leg": {"kind": "bent"}}})["x-kind"]
    'length'
    """
    place = place_of(key)
    if len(place) > 2 and place[0] in ("part", "made", "joint"):
        kind = raw.get(str(place[0]), {}).get(place[1], {}).get("kind", "")
        place = (*place[:2], kind, *place[2:])
    return _schema(place)


@cache
def _schema(place: tuple[str | int, ...]) -> dict[str, Any]:
    """Schema at a place; the same for every file."""
    return schema_at(tuple(0 if isinstance(step, int) and step > 2 else step for step in place))


def typed(text: str, key: str, raw: Raw, shown: str) -> object:
    """Value to write into the file for what was typed into a field.

    Parameters
    ----------
    text : as typed.
    key : dotted key.
    raw : plain values of the file.
    shown : "mm" or "in", the unit the page shows.

    Returns
    -------
    object
        A number, a text, true or false; None for an emptied field, which takes the key out.

    Examples
    --------
    >>> piece = {"units": "mm", "part": {"leg": {"kind": "bent"}}}
    >>> [typed(t, "part.leg.width", piece, "mm") for t in ("45", "3/4 in", "= post - 4", "")]
    [45, '3/4 in', '= post - 4', None]
    >>> typed("1-3/4", "part.leg.width", piece, "in")
    '1-3/4 in'
    """
    text = text.strip()
    if not text:
        return None
    kind = kind_of(key, raw)
    if kind.get("type") == "boolean":
        return text == "true" if text in ("true", "false") else text
    measured = kind.get("x-kind")
    if measured is None and kind.get("type") != "integer":
        return text
    foreign = measured == "length" and shown != raw.get("units")
    if _PLAIN.fullmatch(text):
        return f"{text} {shown}" if foreign else _number(text)
    if foreign and not text.startswith("=") and not _LETTERS.search(text):
        return f"{text} {shown}"
    return text


def _number(text: str) -> int | float:
    value = float(text)
    return int(value) if value.is_integer() and "." not in text else value


@dataclass(frozen=True)
class Fields:
    """Reads values of one project for one reader.

    Parameters
    ----------
    loaded : the project file as read.
    display : the reader's units.
    """

    loaded: Loaded
    display: Display

    @property
    def raw(self) -> Raw:
        """Plain values of the file."""
        return self.loaded.raw

    @property
    def project(self) -> Project:
        """The project as read."""
        return self.loaded.project

    def said(self, key: str) -> TomlValue:
        """What the file says under a key, None for nothing."""
        node: Any = self.raw
        for step in place_of(key):
            node = _into(node, step)
        return node

    def value(self, key: str) -> TomlValue:
        """What it comes to: the core number of the project, defaults included."""
        node: Any = self.project
        for step in place_of(key):
            node = _into(node, step)
        return node

    def number(self, key: str, label: str, **more: object) -> dict[str, Any]:
        """Return a number that may be changed, as the page's data.

        Parameters
        ----------
        key : dotted key.
        label : its name, for people who cannot see where it stands.
        more : what else the page should know, such as the place it belongs to.
        """
        said, core, kind = self.said(key), self.value(key), kind_of(key, self.raw)
        measured = kind.get("x-kind", "")
        return {
            "key": key,
            "label": label,
            "text": self.shown(core, measured),
            "raw": self._written(said, core, measured),
            "step": _step(measured, self.display.system),
            **more,
        }

    def choice(
        self, key: str, label: str, options: Sequence[tuple[str, str]], **more: object
    ) -> dict[str, Any]:
        """Return a value chosen from a few, as the page's data."""
        return {
            "key": key,
            "label": label,
            "value": str(self.value(key)),
            "options": [list(o) for o in options],
            **more,
        }

    def shown(self, core: TomlValue, measured: str) -> str:
        """Value as the reader sees it."""
        if core is None:
            return "–"
        if isinstance(core, bool) or not isinstance(core, int | float):
            return str(core)
        if math.isinf(core):
            return words("strip.straight")
        writers: dict[str, Callable[[float], str]] = {
            "length": lambda v: format_length(v, self.display),
            "angle": format_angle,
            "temperature": lambda v: format_temperature(v, self.display),
            "force": lambda v: format_force(v, self.display),
            "pressure": lambda v: format_pressure(v, self.display),
            "percent": lambda v: f"{v:g} %",
            "minutes": lambda v: f"{v:g} min",
            "seconds": lambda v: f"{v:g} s",
            "hours": lambda v: f"{v:g} h",
        }
        return writers[measured](core) if measured in writers else f"{core:g}"

    def _written(self, said: TomlValue, core: TomlValue, measured: str) -> str:
        """What a maker edits: the file's own text, in the unit that is shown."""
        if isinstance(said, str):
            return said
        if said is None:
            return ""
        if measured == "length" and self.display.system != self.project.units:
            return format_length(core, self.display, unit=False)
        return str(said).lower() if isinstance(said, bool) else f"{said:.10g}"


def _step(measured: str, system: str) -> float:
    """How far one arrow key or one step sideways changes a value."""
    if measured == "length":
        return 0.1 if system == "mm" else 0.03125
    return 0.5 if measured == "angle" else 1.0


def _into(node: TomlValue, step: str | int) -> TomlValue:
    """One step into a table, a list or a record."""
    if node is None:
        return None
    if isinstance(node, Mapping):
        return node.get(step)
    if isinstance(node, list | tuple):
        return node[step] if isinstance(step, int) and step < len(node) else None
    return getattr(node, _names(node.__class__).get(str(step), str(step)), None)


@cache
def _names(kind: Hashable) -> dict[str, str]:
    """Attributes of a record whose key in the file is another word."""
    fields = getattr(kind, "model_fields", {})
    return {field.alias: name for name, field in fields.items() if field.alias}
