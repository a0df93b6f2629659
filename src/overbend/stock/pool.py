"""Columns seen, and those of them that may be of use for what is left to be cut."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from overbend.stock.master import Left, Master
from overbend.stock.patterns import Layout, Pattern, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["Pool", "cheapest"]


class Pool:
    """Patterns and layouts seen so far, each once.

    Parameters
    ----------
    problem : the problem.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.patterns: dict[Pattern, None] = {}
        self._layouts: dict[Layout, None] = {}
        self._yields: list[Ints] = []
        self._spare: list[Ints] = []

    def add(self, columns: Iterable[Pattern | Layout]) -> None:
        """Keep columns that were not seen before."""
        for column in columns:
            if isinstance(column, Pattern):
                self.patterns.setdefault(column)
            elif column not in self._layouts:
                self._layouts[column] = None
                self._yields.append(self.problem.yields(column))
                self._spare.append(self.problem.spare(column))

    def useful(self, wanted: Ints) -> list[Pattern | Layout]:
        """Patterns, and layouts that give something wanted and nothing else."""
        import numpy as np

        found: list[Pattern | Layout] = list(self.patterns)
        if self._layouts:
            gives, spare = np.array(self._yields), np.array(self._spare)
            fits = (gives - wanted < spare).all(axis=1) & (gives[:, wanted > 0] > 0).any(axis=1)
            layouts = list(self._layouts)
            found += [layouts[n] for n in np.flatnonzero(fits)]
        return found


def cheapest(master: Master, left: Left, most: int) -> Master:
    """Linear program over the columns with the least reduced prices.

    Parameters
    ----------
    master : solved for what is left.
    left : what is left to be cut.
    most : layouts to be kept; of patterns a third.
    """
    import numpy as np

    columns, places = master.columns, np.argsort(master.reduced(), kind="stable")
    layouts = [columns[n] for n in places if isinstance(columns[n], Layout)]
    patterns = [columns[n] for n in places if isinstance(columns[n], Pattern)]
    small = Master(master.problem, master.aim)
    small.add([*patterns[: most // 3], *layouts[:most]])
    small.restrict(left)
    return small
