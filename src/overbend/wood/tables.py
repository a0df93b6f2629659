"""The data files of this folder, read once and kept.

``woods.csv`` names the woods; ``strength.csv``, ``shrinkage.csv``, ``elastic.csv`` and
``bending.csv`` hold what is known of them, one row for each source, the preferred source
first; ``sources.csv`` holds the citation of each source once.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import cast, get_args

from overbend.errors import WoodError
from overbend.wood.values import Status, Value

__all__ = ["citation", "did_you_mean", "meant", "plain", "read_cell", "rows"]

_DATA = Path(__file__).parent / "data"
_STATUSES = get_args(Status)


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a data file, as text.

    Examples
    --------
    >>> rows("woods")[0]["name"]
    'White ash'
    """
    with (_DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def _citations() -> dict[str, str]:
    return {row["key"]: row["citation"] for row in rows("sources")}


def citation(key: str) -> str:
    """Return the publication behind a source key of the data files.

    Examples
    --------
    >>> citation("wh-4-3")
    'Wood Handbook, FPL-GTR-282 (2021), Table 4-3'
    """
    return _citations()[key]


def read_cell(cell: str, unit: str, name: str, source: str, status: str, note: str = "") -> Value:
    """Return a cell of a data file as a value; ``700-720`` is a range around its middle.

    Examples
    --------
    >>> print(read_cell("720-800", "kg/m3", "density", "stairs", "read"))
    760 kg/m3 (720 to 800)
    """
    if status not in _STATUSES:
        raise WoodError(f"{name} has the status {status!r}", allowed=", ".join(_STATUSES))
    text = f"{citation(source)} ({note})" if note else citation(source)
    low, dash, high = cell.partition("-")
    if not dash:
        return Value(float(cell), unit, text, cast("Status", status), name)
    ends = float(low), float(high)
    return Value(sum(ends) / 2, unit, text, cast("Status", status), name, *ends)


def plain(text: str) -> str:
    """Return a name as words in lower case, in alphabetical order, without punctuation.

    Examples
    --------
    >>> plain("Ash, White") == plain("white-ash")
    True
    """
    return " ".join(sorted(re.findall(r"[^\W_]+", text.casefold())))


def did_you_mean(text: str, names: Iterable[str]) -> list[str]:
    """Return the names a person may have meant: those with all the words, else close ones.

    Examples
    --------
    >>> did_you_mean("cherry", ["Black cherry", "Black ash"])
    ['Black cherry']
    >>> did_you_mean("blak cherry", ["Black cherry", "Red oak"])
    ['Black cherry']
    """
    from difflib import get_close_matches

    names = list(names)
    words = set(plain(text).split())
    full = [name for name in names if words and words <= set(plain(name).split())]
    if full:
        return full
    by_plain = {plain(name): name for name in names}
    return [by_plain[key] for key in get_close_matches(plain(text), by_plain, n=5, cutoff=0.6)]


def meant(close: Iterable[str]) -> str:
    """Return the end of a message that asks which name was meant, "" where there is none.

    Examples
    --------
    >>> meant(["White ash", "Black ash"])
    '; did you mean White ash or Black ash?'
    """
    names = " or ".join(close)
    return f"; did you mean {names}?" if names else ""
