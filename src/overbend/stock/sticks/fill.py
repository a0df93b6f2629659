"""Stick after stick filled as well as can be, with values that learn what is hard to place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.sticks.knapsack import Knapsack
from overbend.stock.sticks.record import Sticks
from overbend.stock.sticks.simple import used_patterns

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Plan = list[tuple[Ints, int]]

__all__ = ["Filling"]

POWER = 1.02
"""Power of the length that a piece is worth at first: long ones somewhat more for their length."""

LEARNT = (0.1, 0.3)
"""Share of a value that is learnt anew from the stick a piece was put in."""

CELLS = 1_000_000
"""Lengths times cells looked at for one stick; of more lengths some are drawn."""


class Filling:
    """Fills sticks one by one; every plan changes the values for the next.

    Parameters
    ----------
    sticks : the instance.
    rng : chance in how much is learnt, and in the lengths drawn.

    References
    ----------
    Belov, G., Scheithauer, G. (2007), Setup and open-stacks minimization in one-dimensional stock
    cutting, INFORMS Journal on Computing 19, 27-35, on sequential value correction, which they
    attribute to Mukhacheva.
    """

    def __init__(self, sticks: Sticks, rng: np.random.Generator) -> None:
        self.sticks, self.rng = sticks, rng
        self.values: Floats = sticks.sizes.astype(float) ** POWER

    def plan(self, left: Ints, clock: Clock) -> Plan:
        """Sticks that give what is left; once time is up the longest that fits comes first.

        Parameters
        ----------
        left : pieces wanted of each length.
        clock : when to end.
        """
        import numpy as np

        sizes, stock = self.sticks.sizes, self.sticks.stock
        found: Plan = []
        while left.any():
            if clock.over:
                return found + used_patterns(sizes, stock, left)
            pattern = left if int(left @ sizes) <= stock else self._best(left)
            times = int((left[pattern > 0] // pattern[pattern > 0]).min())
            found.append((pattern, times))
            left = left - times * pattern
            held = np.flatnonzero(pattern)
            share = self.rng.uniform(*LEARNT)
            price = sizes[held] ** POWER * (stock / int(pattern @ sizes))
            self.values[held] += share * (price - self.values[held])
        return found

    def _best(self, left: Ints) -> Ints:
        """Pattern worth the most."""
        import numpy as np

        sizes, stock = self.sticks.sizes, self.sticks.stock
        there = np.flatnonzero(left)
        most = max(20, CELLS // stock)
        if len(there) > most:
            there = np.sort(self.rng.choice(there, most, replace=False))
        knapsack = Knapsack(sizes[there], left[there], stock)
        pattern = np.zeros_like(left)
        pattern[there] = knapsack.best(self.values[there], 1)[1][0]
        return pattern
