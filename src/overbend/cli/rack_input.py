"""Reading a defect's span as a maker types it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from overbend.errors import OverbendError, UnitError
from overbend.units import System, parse_length

__all__ = ["span"]

_BETWEEN = re.compile(r"\s*(?:\bto\b|\.\.+|–|—|;)\s*", re.IGNORECASE)
_UNIT = re.compile(r"(mm|cm|m|inches|inch|in|feet|foot|ft|''|\"|')\s*$", re.IGNORECASE)


def span(option: str, text: str, unit: System) -> tuple[float, float]:
    """Span along a board, from and to [mm].

    Parameters
    ----------
    option : what it was typed for, for messages.
    text : two lengths with "to" or "-" between; a unit at the end goes for both.
    unit : of bare numbers.

    Raises
    ------
    UnitError
        When it is not two lengths, the first smaller and not below zero.

    Examples
    --------
    >>> span("--defect", "700-820 mm", "mm"), span("--defect", "27-1/2 to 32", "in")
    ((700.0, 820.0), (698.5, 812.8))
    """
    found = {pair for halves in _halves(text) if (pair := _pair(*halves, unit)) is not None}
    if len(found) != 1:
        raise UnitError(
            f"cannot read {text!r:.60}" if not found else f"{text!r:.60} can be read in two ways",
            option,
            'from and to along the board, such as "700-820 mm" or "27-1/2 in to 32 in"',
        )
    return found.pop()


def _halves(text: str) -> Iterator[tuple[str, str]]:
    """Every way to part the text in two; at a word for it, else at one of its hyphens."""
    parts = _BETWEEN.split(text)
    if len(parts) == 2:
        yield parts[0], parts[1]
        return
    for hyphen in re.finditer("-", text):
        yield text[: hyphen.start()], text[hyphen.end() :]


def _pair(first: str, second: str, unit: System) -> tuple[float, float] | None:
    """Both lengths; None when they are none, or not in order."""
    ending = _UNIT.search(second)
    if ending and not _UNIT.search(first):
        first = f"{first} {ending[1]}"
    try:
        a, b = parse_length(first.strip(), unit), parse_length(second.strip(), unit)
    except OverbendError:
        return None
    return (a, b) if 0.0 <= a < b else None
