"""Patterns of one stick that are worth the most."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Flags = NDArray[np.bool_]

__all__ = ["Knapsack", "Pairs", "bundles", "suffix_values"]

MOST_CELLS = 100_000_000
"""Cells times pieces looked at for one pattern."""


def bundles(size: int, count: int, stock: int) -> Iterator[int]:
    """Bundles of equal pieces, of which any number up to the count can be made.

    Examples
    --------
    >>> list(bundles(10, 6, 100))
    [1, 2, 3]
    """
    left, bundle = min(count, stock // size), 1
    while left > 0:
        yield min(bundle, left)
        left -= bundle
        bundle *= 2


class Knapsack:
    """Best pattern for given values, by dynamic programming over the stick's length.

    Parameters
    ----------
    sizes : lengths.
    counts : most of each.
    stock : length of a stick.

    Attributes
    ----------
    exact : whether lengths are whole cells. Of very long sticks they are not: patterns are then
        found for lengths rounded up, bounds for lengths rounded down.
    """

    def __init__(self, sizes: Ints, counts: Ints, stock: int) -> None:
        import numpy as np

        unit = int(np.gcd.reduce(sizes)) if len(sizes) else 1
        self.bundles = [
            (k, n)
            for k, (size, count) in enumerate(zip(sizes, counts, strict=True))
            for n in bundles(int(size), int(count), stock)
        ]
        coarse = -(-stock * len(self.bundles) // MOST_CELLS)
        self.exact = coarse <= unit
        cell = unit if self.exact else coarse
        self.room = stock // cell
        self.above, self.below = -(-sizes // cell), sizes // cell

    def best(self, values: Floats, wanted: int) -> tuple[float, list[Ints]]:
        """Value that no pattern passes; patterns that are good, the best first.

        Parameters
        ----------
        values : of one piece of each length.
        wanted : how many patterns at most.
        """
        import numpy as np

        best, taken = np.zeros(self.room + 1), []
        for k, n in self.bundles:
            step = n * int(self.above[k])
            if values[k] > 0 and step <= self.room:
                here, new = best[step:], best[: self.room + 1 - step] + n * values[k]
                took = new > here
                np.copyto(here, new, where=took)
                taken.append((k, n, step, took))
        rises = np.flatnonzero(np.diff(best) > 0) + 1
        most = float(best[-1]) if self.exact else float(self.most(values))
        return most, [self._traced(taken, int(end)) for end in rises[::-1][:wanted]]

    def _traced(self, taken: list[tuple[int, int, int, Flags]], at: int) -> Ints:
        import numpy as np

        pattern = np.zeros(len(self.above), dtype=np.int64)
        for k, n, step, took in reversed(taken):
            if at >= step and took[at - step]:
                pattern[k] += n
                at -= step
        return pattern

    def most(self, values: Ints | Floats) -> int | float:
        """Value that no pattern passes, in whole numbers when the values are.

        Examples
        --------
        >>> import numpy as np
        >>> sizes, counts = np.array([60, 35]), np.array([1, 4])
        >>> int(Knapsack(sizes, counts, 100).most(np.array([7, 3])))
        10
        """
        import numpy as np

        best = np.zeros(self.room + 1, dtype=values.dtype)
        for k, n in self.bundles:
            step = n * int(self.below[k])
            fits = self.room + 1 - step
            if fits > 0:
                best[step:] = np.maximum(best[step:], best[:fits] + n * values[k])
        return float(best[-1]) if best.dtype.kind == "f" else int(best[-1])


class Pairs:
    """Best patterns where no stick holds more than four pieces: two pairs each.

    Parameters
    ----------
    sizes : lengths.
    counts : most of each.
    stock : length of a stick.
    """

    def __init__(self, sizes: Ints, counts: Ints, stock: int) -> None:
        import numpy as np

        count = len(sizes)
        self.counts = np.append(counts, 4)  # the last is no piece
        full = np.append(sizes, 0)
        one, two = np.triu_indices(count + 1)
        fits = (full[one] + full[two] <= stock) & ((one != two) | (self.counts[one] > 1))
        weight = (full[one] + full[two])[fits]
        order = np.argsort(weight, kind="stable")
        self.one, self.two = one[fits][order], two[fits][order]
        self.partner = np.searchsorted(weight[order], stock - weight[order], side="right") - 1

    @staticmethod
    def suits(sizes: Ints, counts: Ints, stock: int) -> bool:
        """Whether no five pieces fit a stick."""
        import numpy as np

        smallest = np.sort(np.repeat(sizes, np.minimum(counts, 5)))[:5]
        return len(smallest) < 5 or int(smallest.sum()) > stock

    def best(self, values: Floats, wanted: int) -> tuple[float, list[Ints]]:
        """Value that no pattern passes, and patterns among the best.

        Parameters
        ----------
        values : of one piece of each length.
        wanted : how many patterns.
        """
        import numpy as np

        full = np.append(values, 0.0)
        value = full[self.one] + full[self.two]
        top = np.maximum.accumulate(value)
        rise = np.append(True, value[1:] > top[:-1])
        source = np.maximum.accumulate(np.where(rise, np.arange(len(value)), 0))
        total = value + top[self.partner]
        found: dict[bytes, Ints] = {}
        for n in np.argsort(-total)[: 20 * wanted]:
            mate = source[self.partner[n]]
            ends = [self.one[n], self.two[n], self.one[mate], self.two[mate]]
            pattern = np.bincount(ends, minlength=len(full))
            if (pattern <= self.counts).all():
                found[pattern[:-1].tobytes()] = pattern[:-1]
            if len(found) == wanted:
                break
        return float(total.max()), list(found.values())


def suffix_values(sizes: Ints, counts: Ints, stock: int, values: Ints) -> Ints:
    """Best value of the pieces from each on in each room: one row a piece and one of zeros."""
    import numpy as np

    best = np.zeros((len(sizes) + 1, stock + 1), dtype=values.dtype)
    for k in reversed(range(len(sizes))):
        row = best[k + 1].copy()
        for n in bundles(int(sizes[k]), int(counts[k]), stock):
            step = n * int(sizes[k])
            row[step:] = np.maximum(row[step:], row[:-step] + n * values[k])
        best[k] = row
    return best
