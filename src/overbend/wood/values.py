"""A number with its unit and where it came from.

Every figure about wood that a maker may ask about is a `Value`: it says whether it was read
in a source, recalled from memory, assumed, common practice, computed from others or typed by
the maker, and keeps the values it was computed from, so that a page can unfold the chain.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

__all__ = ["Status", "Value", "Words", "derived", "over_range", "weakest"]

Status = Literal["read", "yours", "computed", "practice", "memory", "assumed"]

_ORDER: tuple[Status, ...] = ("read", "yours", "computed", "practice", "memory", "assumed")


@dataclass(frozen=True)
class Value:
    """A number with its unit, source and standing.

    Parameters
    ----------
    value : the number.
    unit : its unit; "" for a ratio.
    source : publication, table or equation it comes from.
    status : ``read`` (read in the source or a copy of it), ``yours`` (typed by the
        maker), ``computed`` (from read or typed values), ``practice`` (common practice, no
        source), ``memory`` (recalled, not read), ``assumed``.
    name : what it is a value of, in words.
    low, high : the range it may lie in; None when none is known.
    inputs : the values it was computed from.

    Examples
    --------
    >>> Value(12000.0, "MPa", "Table 5-3b", "read", "modulus of elasticity")
    Value(modulus of elasticity 12000 MPa, read: Table 5-3b)
    >>> float(Value(0.6, "", "Table 5-3b", "read"))
    0.6
    """

    value: float
    unit: str
    source: str
    status: Status
    name: str = ""
    low: float | None = None
    high: float | None = None
    inputs: tuple[Value, ...] = ()

    def __float__(self) -> float:
        return self.value

    def __str__(self) -> str:
        """Return the number, its unit and its range."""
        number = f"{self.value:.5g} {self.unit}".strip()
        if self.low is None:
            return number
        if self.high is None:
            return f"at least {number}"
        return f"{number} ({self.low:.5g} to {self.high:.5g})"

    def __repr__(self) -> str:
        head = f"{self.name} " if self.name else ""
        return f"Value({head}{self}, {self.status}: {self.source})"

    def trail(self) -> list[str]:
        r"""Return where the number came from, one line a step, inputs indented below.

        Examples
        --------
        >>> g = Value(0.6, "", "Table 5-3b", "read", "specific gravity")
        >>> density = derived(672.0, "kg/m3", "equation 4-14", (g,), "density")
        >>> print("\n".join(density.trail()))
        density: 672 kg/m3, computed: equation 4-14
          specific gravity: 0.6, read: Table 5-3b
        """
        return list(self._trail(0))

    def _trail(self, depth: int) -> Iterator[str]:
        head = f"{self.name}: " if self.name else ""
        yield f"{'  ' * depth}{head}{self}, {self.status}: {self.source}"
        for one in self.inputs:
            yield from one._trail(depth + 1)


@dataclass(frozen=True)
class Words:
    """A statement with its source, where the source gives no number.

    Parameters
    ----------
    text : the statement.
    source : where it comes from.
    status : as for `Value`.
    """

    text: str
    source: str
    status: Status

    def __str__(self) -> str:
        return self.text


def weakest(*statuses: Status) -> Status:
    """Return the status that deserves the least trust.

    Examples
    --------
    >>> weakest("read", "memory", "computed")
    'memory'
    """
    return max(statuses, key=_ORDER.index)


def derived(
    value: float,
    unit: str,
    how: str,
    inputs: tuple[Value, ...],
    name: str = "",
    *,
    low: float | None = None,
    high: float | None = None,
    at_best: Status = "computed",
) -> Value:
    """Return a computed value that stands no better than its weakest input.

    Parameters
    ----------
    value, unit, name, low, high : as for `Value`.
    how : the equation, with its number.
    inputs : the values that went in.
    at_best : the best status it can have: ``memory`` for an equation that was not read.

    Examples
    --------
    >>> mor = Value(118.0, "MPa", "Lavers 1983", "memory", "bending strength")
    >>> derived(100.3, "MPa", "0.85 of it", (mor,)).status
    'memory'
    """
    status = weakest(at_best, *(one.status for one in inputs))
    return Value(value, unit, how, status, name, low, high, inputs)


def over_range(compute: Callable[[float], Value], over: Value) -> Value:
    """Return compute at a value, with the band that the value's own range gives it.

    Both ends of the range and the middle are computed, so compute must be monotone in
    between, as moisture and temperature laws of wood are.

    Parameters
    ----------
    compute : from a number to a value.
    over : the value to compute at; its ``low`` and ``high``, where given, are tried too.

    Examples
    --------
    >>> moisture = Value(8.0, "%", "kiln-dried", "practice", "moisture", 6.0, 10.0)
    >>> double = lambda m: Value(2 * m, "%", "twice", "computed")
    >>> print(over_range(double, moisture))
    16 % (12 to 20)
    """
    mid = compute(over.value)
    if over.low is None or over.high is None:
        return _joined(mid, mid.low, mid.high, over)
    found = [mid, compute(over.low), compute(over.high)]
    low = min(math.inf if v.low is None else v.low for v in found)
    high = max(-math.inf if v.high is None else v.high for v in found)
    numbers = [v.value for v in found]
    return _joined(mid, min(low, *numbers), max(high, *numbers), over)


def _joined(mid: Value, low: float | None, high: float | None, over: Value) -> Value:
    """Return mid with a band, and with the value it was computed at among its inputs."""
    if low == high == mid.value:
        low = high = None
    status = weakest(mid.status, over.status)
    inputs = mid.inputs if over in mid.inputs else (*mid.inputs, over)
    return Value(mid.value, mid.unit, mid.source, status, mid.name, low, high, inputs)
