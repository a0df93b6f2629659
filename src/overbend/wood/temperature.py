"""What warmth and cold do to strength and stiffness, for the while they last.

The Handbook prints the change at -50 C and +50 C against 20 C, at some moistures. Between
those three points the change is interpolated here linearly; beyond them it is refused, so
nothing here speaks about wood in the steam box. Of the printed moistures the nearest is
taken.

References
----------
Wood Handbook, FPL-GTR-282 (2021), Table 5-15.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from overbend.errors import WoodError
from overbend.wood.tables import citation, rows
from overbend.wood.values import Value

__all__ = ["REFERENCE_TEMPERATURE", "temperature_factor"]

REFERENCE_TEMPERATURE = 20.0
"""Temperature the figures of the species table are taken to hold at [deg C]."""

_COLD, _HOT = -50.0, 50.0


class _Row(NamedTuple):
    """One printed line: a band of moisture and the change at the cold and hot end [%]."""

    low: float
    high: float
    cold: float | None
    hot: float | None

    def away(self, M: float) -> float:
        return max(self.low - M, M - self.high, 0.0)

    def moisture(self) -> str:
        if math.isinf(self.high):
            return f"{self.low:g} % and up"
        return f"{self.low:g} %" if self.low == self.high else f"{self.low:g} to {self.high:g} %"


@cache
def _rows_of(key: str) -> tuple[_Row, ...]:
    return tuple(_read(key))


def _read(key: str) -> Iterator[_Row]:
    for row in rows("temperature"):
        if row["property"] == key:
            high = float(row["moist_to"] or math.inf)
            cold, hot = (float(row[end]) if row[end] else None for end in ("cold", "hot"))
            yield _Row(float(row["moist_from"]), high, cold, hot)


def temperature_factor(key: str, M: float, temperature: float) -> Value:
    """Return a property at a temperature over that at 20 C.

    Linear between the printed points -50, 20 and 50 C; the change is reversible, and is
    that of wood which keeps its moisture.

    Parameters
    ----------
    key : ``moe``, ``moe_across``, ``shear_modulus``, ``mor``, ``tension_parallel``,
        ``comp_parallel``, ``comp_perp``, ``shear`` or ``tension_perp``.
    M : moisture [%]; the nearest printed moisture is used and named.
    temperature : of the wood [deg C], -50 to 50, and 20 to 50 where no cold was printed.

    Returns
    -------
    A factor, 1 at 20 C.

    Raises
    ------
    WoodError
        Nothing was printed for the property at that temperature.

    Examples
    --------
    >>> f = temperature_factor("moe", 12, 35)
    >>> round(f.value, 4)
    0.965
    """
    printed = _rows_of(key)
    if not printed:
        known = dict.fromkeys(row["property"] for row in rows("temperature"))
        raise WoodError(f"no temperature effect is known for {key!r}", allowed=", ".join(known))
    hot = temperature >= REFERENCE_TEMPERATURE
    ends = [(row, row.hot if hot else row.cold) for row in printed]
    usable = [(row, change) for row, change in ends if change is not None]
    if not _COLD <= temperature <= _HOT or not usable:
        raise _out_of_range(key, temperature, cold=any(row.cold is not None for row in printed))
    row, change = min(usable, key=lambda pair: (pair[0].away(M), pair[1]))
    end = _HOT if hot else _COLD
    part = (temperature - REFERENCE_TEMPERATURE) / (end - REFERENCE_TEMPERATURE)
    source = (
        f"{citation('wh-5-15')}: {change:+g} % at {end:g} C, printed for {row.moisture()} "
        "moisture, linear from 20 C"
    )
    return Value(1 + part * change / 100, "", source, "computed", f"effect of {temperature:g} C")


def _out_of_range(key: str, temperature: float, *, cold: bool) -> WoodError:
    least = _COLD if cold else REFERENCE_TEMPERATURE
    return WoodError(
        f"wood at {temperature:g} C: its {key} is known from {least:g} to {_HOT:g} C only",
        allowed=f"{least:g} to {_HOT:g} C",
        todo="use the hot-bending ratios for wood from the steam box, or 20 C for a chair in use",
    )
