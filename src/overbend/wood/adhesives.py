"""Adhesives by class: spread, times, pressure, what wood they take.

Most figures are from memory: the maker's own data sheet comes first, by
`Adhesive.with_sheet`. Where a class has no figure, there are words; the figures that every
class has are `Adhesive.spread`, `Adhesive.pressure` and `Adhesive.clamp_time`.

==================  ======  ===============================================
figure              unit    meaning
==================  ======  ===============================================
``spread``          g/m2    wet glue for one glue line, both faces together
``open_time``       s       from spreading until the faces must touch
``closed_time``     s       from touching until full pressure must be on
``pressure``        MPa     clamp pressure on hardwood
``clamp_time``      s       in the clamps, at 20 C
``wood_moisture``   %       moisture the wood should have
``strength``        MPa     shear strength of the dry joint
==================  ======  ===============================================
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Self, cast

from overbend.errors import WoodError
from overbend.wood.tables import citation, did_you_mean, meant, plain, rows
from overbend.wood.values import Status, Value, Words

__all__ = ["FIGURES", "Adhesive", "adhesive_ids", "all_adhesives", "find_adhesive"]

FIGURES: Mapping[str, tuple[str, str, float, float]] = {
    "spread": ("glue for one glue line", "g/m2", 20.0, 1000.0),
    "open_time": ("open time", "s", 10.0, 86400.0),
    "closed_time": ("closed time", "s", 10.0, 86400.0),
    "pressure": ("clamp pressure", "MPa", 0.0, 5.0),
    "clamp_time": ("clamp time at 20 C", "s", 10.0, 604800.0),
    "wood_moisture": ("moisture of the wood", "%", 0.0, 30.0),
    "strength": ("shear strength of the dry joint", "MPa", 0.5, 40.0),
}
"""Meaning, unit and the least and most that can be meant, by figure."""

_SECONDS = {"min": 60.0, "h": 3600.0}


@dataclass(frozen=True)
class Adhesive:
    """What is known of an adhesive or a class of them.

    Parameters
    ----------
    id : plain id, such as ``pva-yellow``.
    name : name to show.
    also : other names in the trade.
    figures : values by name, as in the table above; absent where no figure is known.
    words : statements by name (``creep``, ``gaps``, ``water``, or a figure's name where the
        source speaks in words).

    Examples
    --------
    >>> yellow = find_adhesive("yellow glue")
    >>> print(yellow.open_time, "|", yellow.open_time.status)
    300 s | read
    """

    id: str
    name: str
    also: tuple[str, ...] = ()
    figures: Mapping[str, Value] = field(default_factory=dict, hash=False, repr=False)
    words: Mapping[str, Words] = field(default_factory=dict, hash=False, repr=False)

    def figure(self, key: str) -> Value | None:
        """Return a figure, or None when it is not known.

        Raises
        ------
        WoodError
            The key is not one of `FIGURES`.
        """
        _known(key)
        return self.figures.get(key)

    def need(self, key: str) -> Value:
        """Return a figure that a computation cannot do without.

        Raises
        ------
        WoodError
            It is not known for this adhesive; the message says what its sheet must give.

        Examples
        --------
        >>> find_adhesive("resorcinol").need("open_time").low
        900.0
        """
        found = self.figure(key)
        if found is None:
            label, unit, least, most = FIGURES[key]
            why = self.words.get(key)
            raise WoodError(
                f"the {label} of {self.name} is not known" + (f": {why.text}" if why else ""),
                allowed=f"{least:g} to {most:g} {unit}",
                todo=f"type {key} from the adhesive's data sheet",
            )
        return found

    @property
    def spread(self) -> Value:
        """Wet glue for one glue line [g/m2]."""
        return self.need("spread")

    @property
    def pressure(self) -> Value:
        """Clamp pressure on hardwood [MPa]."""
        return self.need("pressure")

    @property
    def clamp_time(self) -> Value:
        """Time in the clamps at 20 C [s]."""
        return self.need("clamp_time")

    @property
    def open_time(self) -> Value:
        """Time from spreading until the faces must touch [s]; refused where not known."""
        return self.need("open_time")

    @property
    def closed_time(self) -> Value:
        """Time from touching until full pressure [s]; refused where not known."""
        return self.need("closed_time")

    def with_sheet(
        self, source: str = "your data sheet", **figures: float | tuple[float, float]
    ) -> Self:
        """Return the adhesive with figures from the maker's own data sheet.

        Parameters
        ----------
        source : the sheet.
        **figures : by name of `FIGURES`, in its unit; a number or ``(low, high)``.

        Raises
        ------
        WoodError
            An unknown figure, or one that cannot be meant.

        Examples
        --------
        >>> print(find_adhesive("epoxy").with_sheet(open_time=(1800, 2700)).open_time)
        2250 s (1800 to 2700)
        """
        typed = {key: _typed(key, figure, source) for key, figure in figures.items()}
        left = {key: text for key, text in self.words.items() if key not in typed}
        return replace(self, figures={**self.figures, **typed}, words=left)


def _known(key: str) -> None:
    if key not in FIGURES:
        raise WoodError(f"an adhesive has no figure called {key!r}", allowed=", ".join(FIGURES))


def _typed(key: str, figure: float | tuple[float, float], source: str) -> Value:
    _known(key)
    label, unit, least, most = FIGURES[key]
    low, high = figure if isinstance(figure, tuple) else (figure, figure)
    if not (math.isfinite(low) and math.isfinite(high) and least <= low <= high <= most):
        given = f"{low:g}" if low == high else f"{low:g} to {high:g}"
        raise WoodError(
            f"{label} ({key}) of {given} {unit}",
            allowed=f"{least:g} to {most:g} {unit}",
            todo=f"give it in {unit}",
        )
    band = () if low == high else (low, high)
    return Value((low + high) / 2, unit, source, "yours", label, *band)


def adhesive_ids() -> tuple[str, ...]:
    """Return the ids of the classes.

    Examples
    --------
    >>> len(adhesive_ids())
    9
    """
    return tuple(row["id"] for row in rows("adhesives"))


@cache
def all_adhesives() -> tuple[Adhesive, ...]:
    """Return every class of the table.

    Examples
    --------
    >>> all_adhesives()[0].name
    'White PVA'
    """
    return tuple(
        Adhesive(
            row["id"],
            row["name"],
            tuple(name.strip() for name in row["also"].split(";")),
            *_of(row["id"]),
        )
        for row in rows("adhesives")
    )


def _of(adhesive: str) -> tuple[dict[str, Value], dict[str, Words]]:
    """Return the figures and the words of a class."""
    figures, words = {}, {}
    for row in rows("adhesive_facts"):
        if row["adhesive"] != adhesive:
            continue
        status, source = cast("Status", row["status"]), citation(row["source"])
        if row["low"]:
            figures[row["fact"]] = _figure(row, source, status)
        elif row["words"]:
            words[row["fact"]] = Words(row["words"], source, status)
    return figures, words


def _figure(row: Mapping[str, str], source: str, status: Status) -> Value:
    label, unit, *_ = FIGURES[row["fact"]]
    scale = _SECONDS.get(row["unit"], 1.0)
    low = scale * float(row["low"])
    high = scale * float(row["high"]) if row["high"] else None
    text = f"{source} ({row['words']})" if row["words"] else source
    if high == low:
        return Value(low, unit, text, status, label)
    return Value(low if high is None else (low + high) / 2, unit, text, status, label, low, high)


def find_adhesive(text: str) -> Adhesive:
    """Return a class of adhesive by its id or a name of the trade.

    Raises
    ------
    WoodError
        No class goes by that name; those it may be are named.

    Examples
    --------
    >>> find_adhesive("Plastic resin").id
    'urea-formaldehyde-powder'
    """
    key = plain(text)
    for glue in all_adhesives():
        if key in {plain(glue.id), plain(glue.name), *map(plain, glue.also)}:
            return glue
    names = [name for glue in all_adhesives() for name in (glue.name, *glue.also)]
    close = did_you_mean(text, names)
    raise WoodError(
        f"no adhesive is called {text!r}{meant(close)}",
        allowed=", ".join(adhesive_ids()),
        todo="name the class, and give its figures from the data sheet",
    )
