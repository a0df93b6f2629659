"""Finished sentences that name metric figures, for readers in inches.

Rules, sources, refusals and errors from the inner rooms are written once, in metric. A reader in
inches gets the US figure first and the metric one, which is the one that was written down,
in brackets. What the maker typed, quoted or as a name, is never touched, nor are lists of ways
to write a value, which name both systems by themselves.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar, cast

from overbend.errors import LedgerError, OutputError, OverbendError
from overbend.units import (
    Display,
    System,
    format_force,
    format_length,
    format_mass,
    format_pressure,
)

__all__ = ["Reader", "names_of", "reader_of", "stiffness_in_psi", "us_words"]

E = TypeVar("E", bound=OverbendError)

_INCHES = Display("in")
_FINE = Display("in", inch_denominator=64)
_NUMBER = r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?"
_UNITS = r"per mm|mm|cm|GPa|MPa|kPa|°C|C|kN|N|kg|g|cm²|cm³|litres|m"
_METRIC = (
    rf"(?<![\w.,/(+–-])\(?(?P<values>{_NUMBER}(?:(?:,? to | by | and | or | x |[–-]){_NUMBER})*)"
    rf" (?P<unit>{_UNITS})(?![\w/²³·-]| clamp)"
)
_PLACE = rf"\((?P<place>{_NUMBER}(?:, {_NUMBER})+)\) mm(?!\w)"
_QUOTED = r"(?<!\w)(?P<mark>['\"`])[^\n]*?(?P=mark)(?!\w)|“[^”\n]*”"
_US_UNITS = r"(?:in|per in|psi|°F|lbf|lb|oz|in²|in³|ft|US gallons)"
_WRITTEN = re.compile(rf" {_US_UNITS} \(+$|\([^()]* {_US_UNITS}, $")
_BOTH = re.compile(r"\s*Allowed: .*\d (?:in|F|psi|lbf|lb|oz)\b")
_INCH_FILE = re.compile(r"^[ \t]*units[ \t]*=[ \t]*([\"'])in\1", re.M)


@lru_cache(maxsize=64)
def _pattern(kept: tuple[str, ...]) -> re.Pattern[str]:
    """What may be met in a sentence: text that stays, or metric figures."""
    stays = [re.escape(text) for text in sorted(kept, key=len, reverse=True)]
    return re.compile("|".join([*stays, _QUOTED, _PLACE, _METRIC]))


def us_words(text: str, *, metric: bool = True, kept: tuple[str, ...] = ()) -> str:
    """Return a sentence with its metric figures in US units.

    Lengths are rounded to the nearest 1/32 in, below 10 mm to 1/64; below 3 mm they are decimals.

    Parameters
    ----------
    text : finished sentences.
    metric : whether the metric figure follows in brackets.
    kept : names that hold a figure, such as "oak 50 mm", and stay as they are; so does what
        stands in quotes.

    Examples
    --------
    >>> us_words("length two thirds of the way through, 5 mm left behind")
    'length two thirds of the way through, 13/64 in (5 mm) left behind'
    >>> us_words("a room of 32 to 38 C"), us_words("11090 MPa", metric=False)
    ('a room of 90 to 100 °F (32 to 38 °C)', '1.61 million psi')
    >>> us_words(us_words("a strip of 40 by 6 mm"))
    'a strip of 1-9/16 by 15/64 in (40 by 6 mm)'
    >>> us_words("cannot use '5 mm' on oak 50 mm", kept=("oak 50 mm",))
    "cannot use '5 mm' on oak 50 mm"
    """
    pattern = _pattern(kept)
    lines = text.split("\n")
    return "\n".join(x if _BOTH.match(x) else _line(x, pattern, metric) for x in lines)


def _line(text: str, pattern: re.Pattern[str], metric: bool) -> str:
    def both(found: re.Match[str]) -> str:
        at = next((name for name in ("values", "place") if found[name]), "")
        if not at or _WRITTEN.search(text[: found.start(at)]):
            return found[0]
        if at == "place":
            us = f"({_each(found[at], _inches)}) in"
            return f"{us} ({found[0]})" if metric else us
        opening = "(" if found[0].startswith("(") else ""
        return opening + _said(found["values"], found["unit"], metric, bool(opening))

    return pattern.sub(both, text)


def _said(values: str, unit: str, metric: bool, inside: bool) -> str:
    """US figures, and the metric ones behind them: in brackets, or a comma inside brackets."""
    us = _WAYS[unit](values)
    if not metric:
        return us
    was = f"{values} {'°C' if unit == 'C' else unit}"
    return f"{us}, {was}" if inside else f"{us} ({was})"


def _each(values: str, change: Callable[[float], str]) -> str:
    """Change every number of a text, and leave the words between them; a dash becomes one."""
    apart = re.sub(r"(?<=\d)[–-](?=\d)", " to ", values)
    return re.sub(_NUMBER, lambda found: change(float(found[0])), apart)


def _inches(mm: float) -> str:
    if 0.0 < abs(mm) < 3.0:
        inches = mm / 25.4
        few = 2 if abs(mm) >= 1.0 else max(3, -math.floor(math.log10(abs(inches))))
        return f"{inches:.{few}f}"
    return format_length(mm, _INCHES if abs(mm) >= 10.0 else _FINE, unit=False)


def _lengths(values: str) -> str:
    return f"{_each(values, _inches)} in"


def _temperatures(values: str) -> str:
    return f"{_each(values, lambda celsius: f'{celsius * 1.8 + 32.0:.0f}')} °F"


def _three_figures(unit: str, size: float) -> Callable[[str], str]:
    """Way to write values in a US unit of that size, to three figures."""
    return lambda values: f"{_each(values, lambda value: _three(value / size))} {unit}"


def _three(value: float) -> str:
    """Three figures, no exponent."""
    decimals = 2 - math.floor(math.log10(abs(value))) if value else 0
    return f"{round(value, decimals):.{max(decimals, 0)}f}"


def _spread(size: float, write: Callable[[float], str]) -> Callable[[str], str]:
    """Change figures whose US unit may differ from one to the next, such as oz and lb."""
    return lambda values: _each(values, lambda value: write(size * value))


def _pressure(mpa: float) -> str:
    return stiffness_in_psi(mpa) if mpa >= 1000.0 else format_pressure(mpa, _INCHES)


def stiffness_in_psi(mpa: float) -> str:
    """Modulus of elasticity as US handbooks write it.

    Examples
    --------
    >>> stiffness_in_psi(12000.0)
    '1.74 million psi'
    """
    return f"{mpa / 6894.757:.2f} million psi"


_WAYS: dict[str, Callable[[str], str]] = {
    "mm": _lengths,
    "cm": lambda values: _lengths(_each(values, lambda cm: f"{10.0 * cm:g}")),
    "m": _three_figures("ft", 0.3048),
    "per mm": _three_figures("per in", 1.0 / 25.4),
    "litres": _three_figures("US gallons", 3.785),
    "GPa": _spread(1000.0, _pressure),
    "MPa": _spread(1.0, _pressure),
    "kPa": _spread(0.001, _pressure),
    "°C": _temperatures,
    "C": _temperatures,
    "N": _spread(1.0, lambda n: format_force(n, _INCHES)),
    "kN": _spread(1000.0, lambda n: format_force(n, _INCHES)),
    "kg": _spread(1.0, lambda kg: format_mass(kg, _INCHES)),
    "g": _spread(0.001, lambda kg: format_mass(kg, _INCHES)),
    "cm²": _three_figures("in²", 2.54**2),
    "cm³": _three_figures("in³", 2.54**3),
}


# -- who reads -------------------------------------------------------------------------


@dataclass(frozen=True)
class Reader:
    """Somebody who reads messages.

    Parameters
    ----------
    system : "mm" or "in".
    kept : names of the piece that hold a figure and stay as typed, see `names_of`.

    Examples
    --------
    >>> Reader("in").words("5 mm off"), Reader("mm").words("5 mm off")
    ('13/64 in (5 mm) off', '5 mm off')
    """

    system: System = "mm"
    kept: tuple[str, ...] = ()

    def words(self, text: str) -> str:
        """Return a message in the reader's units."""
        return text if self.system == "mm" else us_words(text, kept=self.kept)

    def error(self, error: E) -> E:
        """Return the same error in the reader's units; a place that is a path stays."""
        if self.system == "mm":
            return error
        allowed = self.words(f"Allowed: {error.allowed}").removeprefix("Allowed: ")
        is_path = isinstance(error, OutputError | LedgerError)
        where = error.where if is_path else self.words(error.where)
        return type(error)(self.words(error.problem), where, allowed, self.words(error.todo))


def reader_of(
    text: str, system: System | None = None, also: Iterable[str] = (), raw: object = None
) -> Reader:
    """Reader of messages about a project.

    Parameters
    ----------
    text : of the project file, whether it reads or not.
    system : the unit the reader chose; None for the file's own.
    also : names that are not in the file, such as its own.
    raw : the file's plain values, where they are read already.

    Examples
    --------
    >>> reader_of('units = "in" [ not TOML').system, reader_of('units = "mm"', "in").system
    ('in', 'in')
    """
    found: System = system or ("in" if _INCH_FILE.search(text) else "mm")
    if found == "mm":
        return Reader("mm")
    names = _names_in(text) if raw is None else names_of(raw)
    return Reader("in", (*names, *names_of(list(also))))


@lru_cache(maxsize=8)
def _names_in(text: str) -> tuple[str, ...]:
    """Names in a project file; none in one that does not read."""
    try:
        return names_of(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, RecursionError):
        return ()


def names_of(raw: object) -> tuple[str, ...]:
    """Texts of a project file with a metric figure in them that are no quantities.

    Examples
    --------
    >>> names_of({"name": "shelf of 20 mm", "width": "20 mm", "clamp": [{"name": "12 mm"}]})
    ('12 mm', 'shelf of 20 mm')
    """
    figure, found = re.compile(_METRIC), set[str]()
    for key, text in _texts(raw):
        held = figure.search(text)
        if held is not None and (key in ("", "name") or held[0] != text.strip()):
            found.add(text)
    return tuple(sorted(found))


def _texts(raw: object, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text of plain values with its key; keys are texts without one."""
    if isinstance(raw, str):
        yield key, raw
    elif isinstance(raw, Mapping):
        for name, value in cast("Mapping[str, object]", raw).items():
            yield "", name
            yield from _texts(value, name)
    elif isinstance(raw, list | tuple):
        for value in cast("list[object]", raw):
            yield from _texts(value, key or "[]")
