"""Fields of the shop's forms: what is typed becomes a core number, and back."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from overbend.errors import InputError, OverbendError, UnitError
from overbend.units import (
    Display,
    format_force,
    format_length,
    parse_angle,
    parse_duration,
    parse_force,
    parse_length,
    parse_number,
)
from overbend.web.words import ENGLISH, words
from overbend.wood import find_species

__all__ = ["Entry", "Field", "fields_of", "read_all", "wood_name"]

Kind = Literal[
    "text", "note", "length", "rise", "number", "whole", "force", "day", "choice", "wood", "slope",
    "minutes", "hours", "yes", "spans",
]  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One key of a record as a field.

    Parameters
    ----------
    name : of the key.
    kind : how it is typed.
    choices : of a choice, "" for not known.
    needed : whether it must be filled.
    """

    name: str
    kind: Kind = "text"
    choices: tuple[str, ...] = ()
    needed: bool = False


@dataclass(frozen=True)
class Field:
    """A field as the page shows it: name, label, hint, kind, text, choices with their words."""

    name: str
    label: str
    hint: str
    kind: Kind
    text: str
    choices: tuple[tuple[str, str], ...]
    needed: bool


def wood_name(species: str) -> str:
    """Name of a wood; one that the table does not hold goes by what it was called.

    Examples
    --------
    >>> wood_name("white-ash"), wood_name("grandfather-s-pear")
    ('White ash', 'grandfather-s-pear')
    """
    try:
        return find_species(species).name
    except OverbendError:
        return species


def fields_of(
    shelf: str,
    entries: Sequence[Entry],
    display: Display,
    values: Mapping[str, Any],
    typed: Mapping[str, str] | None = None,
    choices: Mapping[str, Sequence[tuple[str, str]]] | None = None,
) -> list[Field]:
    """Fields of a form, filled with values, or with what was typed before it was refused.

    Parameters
    ----------
    shelf : whose words label them.
    entries : the keys.
    display : the reader's units.
    values : by key, core numbers.
    typed : texts by key, as they were sent.
    choices : of keys whose choices are known only now.
    """
    more = choices or {}
    out = []
    for e in entries:
        text = shown(e, values.get(e.name), display) if typed is None else typed.get(e.name, "")
        given = more.get(e.name) or [(c, words(f"shop.{e.name}.{c or 'none'}")) for c in e.choices]
        hint = ENGLISH.get(f"shop.{shelf}.{e.name}.hint", "")
        label = words(f"shop.{shelf}.{e.name}")
        out.append(Field(e.name, label, hint, e.kind, text, tuple(given), e.needed))
    return out


def shown(entry: Entry, value: object, display: Display) -> str:
    """A value as it stands in its field; "" for none.

    Examples
    --------
    >>> shown(Entry("length", "length"), 2438.4, Display("in")), shown(Entry("cost"), None,
    ...     Display())
    ('96', '')
    """
    if value is None or value == "":
        return ""
    writers: Mapping[str, Callable[[Any], str]] = {
        "length": lambda v: format_length(v, display, unit=False),
        "rise": lambda v: format_length(v, display, unit=False),
        "force": lambda v: format_force(v, display),
        "wood": wood_name,
        "slope": lambda v: f"1 in {1.0 / v:g}" if v else "",
        "minutes": lambda v: f"{v:g} min",
        "hours": lambda v: f"{v:g} h",
        "yes": lambda v: "yes" if v else "",
        "number": lambda v: f"{v:g}",
        "spans": lambda v: "; ".join(_span(a, b, display) for a, b in v),
    }
    return writers.get(entry.kind, str)(value)


def _span(low: float, high: float, display: Display) -> str:
    return " to ".join(format_length(v, display, unit=False) for v in (low, high))


def read_all(
    shelf: str,
    entries: Sequence[Entry],
    typed: Mapping[str, str],
    display: Display,
    old: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Values from what was typed; what is empty is left out.

    A field that still shows what the old value shows keeps that value to the last digit.

    Raises
    ------
    InputError, UnitError, WoodError
        Naming the field.
    """
    out: dict[str, Any] = {}
    for e in entries:
        text = typed.get(e.name, "").strip()
        if old is not None and text == shown(e, old.get(e.name), display):
            out[e.name] = old.get(e.name)
        elif text:
            out[e.name] = _read(shelf, e, text, typed, display)
        elif e.needed:
            raise InputError(f"{words(f'shop.{shelf}.{e.name}')} is missing")
        elif e.kind in ("yes", "spans"):
            out[e.name] = False if e.kind == "yes" else []
    return out


def _read(shelf: str, e: Entry, text: str, typed: Mapping[str, str], display: Display) -> object:
    where = words(f"shop.{shelf}.{e.name}")
    readers: Mapping[str, Callable[[str], object]] = {
        "length": lambda t: _above_zero(parse_length(t, display.system), t),
        "rise": lambda t: parse_length(t, display.system),
        "number": parse_number,
        "whole": _whole,
        "force": parse_force,
        "slope": lambda t: math.tan(abs(parse_angle(t))),
        "minutes": lambda t: parse_duration(t) / 60.0,
        "hours": lambda t: parse_duration(t, "h") / 3600.0,
        "wood": lambda t: _wood(t, bool(typed.get("own_wood"))),
        "yes": bool,
        "spans": lambda t: _spans(t, display),
    }
    try:
        return readers.get(e.kind, str)(text)
    except OverbendError as error:
        raise error.at(where) from error


def _spans(text: str, display: Display) -> list[tuple[float, float]]:
    """Stretches such as ``0 to 120; 900 to 960``."""
    out = []
    for part in text.split(";"):
        ends = re.split(r"\s+to\s+", part.strip())
        if len(ends) != 2:
            raise UnitError(f"{part.strip()!r}", allowed="0 to 120; 900 to 960")
        low, high = (parse_length(end, display.system) for end in ends)
        out.append((low, high))
    return out


def _above_zero(value: float, text: str) -> float:
    if value <= 0.0:
        raise UnitError(f"a length of {text!r}", allowed="above zero")
    return value


def _whole(text: str) -> int:
    value = parse_number(text)
    if not value.is_integer():
        raise UnitError(f"{text!r}", allowed="a whole number")
    return int(value)


def _wood(name: str, own: bool) -> str:
    """Id of a wood by its name; a wood of the maker's own takes its name."""
    if not own:
        return find_species(name).id
    plain = "-".join(re.findall(r"[^\W_]+", name.casefold()))
    if not plain:
        raise InputError(f"a wood called {name!r}", allowed="letters or digits")
    return plain
