"""The linear program over patterns of a stick, by column generation, and its exact bound."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from overbend.solver import Clock
from overbend.stock.mip import quiet_highs
from overbend.stock.sticks.knapsack import Knapsack, Pairs
from overbend.stock.sticks.record import Sticks
from overbend.stock.sticks.simple import used_patterns

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Patterns", "Relaxed", "exact_values", "relax"]

TOL = 1e-9
COLUMNS = 15
"""Patterns added at once where many are found at little cost."""

CALM = 0.6
"""Share of the best values so far in those that patterns are looked for with."""

UNITS = 10**9
"""Whole units of a value in the exact bound."""


@dataclass(frozen=True)
class Relaxed:
    """Answer of the linear program.

    Parameters
    ----------
    value : of the patterns at hand.
    bound : proven for all patterns.
    values : of one piece of each length, so that no pattern is worth more than one stick.
    times : of each pattern.
    """

    value: float
    bound: float
    values: Floats
    times: Floats


class Patterns:
    """Patterns found so far, and the linear program over them."""

    def __init__(self, wanted: Ints) -> None:
        import numpy as np

        count = self.rows = len(wanted)
        self.all: list[Ints] = []
        self._seen: set[bytes] = set()
        self._lp: Any = quiet_highs()
        none = np.zeros(0, dtype=np.int32)
        free = np.full(count, np.inf)
        start = np.zeros(count, dtype=np.int32)
        self._lp.addRows(count, wanted.astype(float), free, 0, start, none, np.zeros(0))

    def add(self, pattern: Ints) -> bool:
        """Add a pattern unless it is there; whether it was new."""
        import numpy as np

        key = pattern.tobytes()
        if key in self._seen:
            return False
        self._seen.add(key)
        self.all.append(pattern)
        rows = np.flatnonzero(pattern).astype(np.int32)
        entries = pattern[rows].astype(float)
        self._lp.addCol(1.0, 0.0, float("inf"), len(rows), rows, entries)
        return True

    def restrict(self, left: Ints) -> None:
        """Ask for what is left; patterns that hold more of a length are switched off."""
        import numpy as np

        rows, count = np.arange(len(left), dtype=np.int32), len(self.all)
        self._lp.changeRowsBounds(len(left), rows, left.astype(float), np.full(len(left), np.inf))
        fits = (np.array(self.all) <= left).all(axis=1)
        places = np.arange(count, dtype=np.int32)
        self._lp.changeColsBounds(count, places, np.zeros(count), np.where(fits, np.inf, 0.0))

    def solve(self) -> tuple[float, Floats, Floats]:
        """Value, duals and times of each pattern."""
        import numpy as np

        self._lp.run()
        solution = self._lp.getSolution()
        values = np.maximum(np.array(solution.row_dual), 0.0)
        return (
            float(self._lp.getInfo().objective_function_value), values,
            np.array(solution.col_value),
        )  # fmt: skip


def relax(
    patterns: Patterns, sticks: Sticks, left: Ints, clock: Clock, *, above: float = -1.0
) -> Relaxed:
    """Generate patterns until none lowers the value, the bound passes a value, or time is up.

    Parameters
    ----------
    patterns : found so far; they get more.
    sticks : the instance.
    left : pieces still wanted.
    clock : when to end.
    above : a bound above this is as good as any.
    """
    import numpy as np

    there = np.flatnonzero(left)
    sizes, counts = sticks.sizes[there], left[there]
    for pattern, _ in used_patterns(sticks.sizes, sticks.stock, left):
        patterns.add(pattern)
    for k in there:
        single = np.zeros(len(left), dtype=np.int64)
        single[k] = min(int(left[k]), sticks.stock // int(sticks.lengths[k]))
        patterns.add(single)
    patterns.restrict(left)
    price = _Pricing(sizes, counts, sticks.stock)
    middle, bound = np.zeros(len(there)), 0.0
    while True:
        value, values, times = patterns.solve()
        here, added = values[there], 0
        for calm in (CALM, 0.0) if bound else (0.0,):
            tried = calm * middle + (1 - calm) * here
            most, new = price.best(tried)
            low = float(tried @ counts) / max(most, 1.0)
            if low > bound:
                middle, bound = tried / max(most, 1.0), low
            added = _added(patterns, [p for p in new if float(p @ here) > 1 + TOL], there)
            if added:
                break
        if not added or clock.over or 0 <= above < bound:
            scaled = np.zeros(len(left))
            scaled[there] = middle
            return Relaxed(value, bound, scaled, times)


def _added(patterns: Patterns, new: list[Ints], there: Ints) -> int:
    """Add patterns of the lengths that are still wanted; how many were new."""
    import numpy as np

    added = 0
    for part in new:
        pattern = np.zeros(patterns.rows, dtype=np.int64)
        pattern[there] = part
        added += patterns.add(pattern)
    return added


class _Pricing:
    """Patterns worth the most, and the value that none passes."""

    def __init__(self, sizes: Ints, counts: Ints, stock: int) -> None:
        suits = Pairs.suits(sizes, counts, stock)
        self.knapsack = Knapsack(sizes, counts, stock)
        self.pairs = Pairs(sizes, counts, stock) if suits else None

    def best(self, values: Floats) -> tuple[float, list[Ints]]:
        """Value that no pattern passes, and patterns among the best."""
        if self.pairs is not None:
            most, found = self.pairs.best(values, COLUMNS)
            if most <= 1 + TOL or any(float(p @ values) > 1 + TOL for p in found):
                return most, found
        return self.knapsack.best(values, COLUMNS)


def exact_values(sticks: Sticks, values: Floats) -> tuple[Ints, int]:
    """Values of the pieces in whole units, and the units that no pattern passes.

    When no pattern passes v units, n sticks give n v at most: all pieces' units over v are a bound
    of the number of sticks, in whole numbers and so without rounding (Farley's bound).

    Parameters
    ----------
    sticks : the instance.
    values : of one piece of each length, from the linear program or from anywhere.

    Examples
    --------
    >>> import numpy as np
    >>> rails = Sticks.of("rails", 10, [(6, 2), (4, 1), (3, 3)])
    >>> units, most = exact_values(rails, np.array([0.5, 0.5, 0.25]))
    >>> int(units @ rails.wanted) / most
    2.25

    References
    ----------
    Farley, A. A. (1990), A note on bounding a class of linear programming problems, including
    cutting stock problems, Operations Research 38, 922-923.
    """
    import numpy as np

    units = np.floor(np.clip(values, 0.0, 1.0) * UNITS).astype(np.int64)
    most = int(Knapsack(sticks.sizes, sticks.wanted, sticks.stock).most(units))
    return units, max(most, 1)
