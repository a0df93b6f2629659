"""The linear program over patterns and layouts, and what is left to be cut of a problem.

Rows: each demand is met; each length is given as often as it is used; no board is taken more often
than it is there; the cost stays within its limit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from overbend.stock.mip import quiet_highs
from overbend.stock.patterns import Aim, Layout, Pattern, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Answer", "Left", "Master"]

PENALTY = 1e4
"""Price of a piece that cannot be given, over the dearest board."""


@dataclass
class Left:
    """What is left to be cut once some boards are settled.

    Parameters
    ----------
    counts : pieces still wanted of each demand.
    lengths : lengths used but not yet given; below zero: given and free, by place.
    used : boards taken of each kind.
    cost : of the boards taken.
    """

    counts: Ints
    lengths: Floats
    used: Floats
    cost: float = 0.0

    @classmethod
    def all(cls, problem: Problem) -> Left:
        """Everything."""
        import numpy as np

        return cls(
            problem.counts.copy(), np.zeros(problem.starts[-1]), np.zeros(len(problem.boards))
        )

    def copy(self) -> Left:
        """The same, to be changed by itself."""
        return Left(self.counts.copy(), self.lengths.copy(), self.used.copy(), self.cost)

    def less(self, kind: int, yields: Ints, cost: float) -> Left:
        """What is left once a board of a kind gives its pieces."""
        new = self.copy()
        new.counts = (new.counts - yields).clip(min=0)
        new.used[kind] += 1
        new.cost += cost
        return new

    def take(self, problem: Problem, column: Pattern | Layout, times: int) -> None:
        """Settle a column."""
        if isinstance(column, Layout):
            self.counts = (self.counts - times * problem.yields(column)).clip(min=0)
            self.lengths[problem.place(column)] += times
            return
        start = problem.starts[problem.boards[column.board].section]
        for a, n in enumerate(problem.lengths_in(column)):
            self.lengths[start + a] -= times * n
        self.used[column.board] += times
        self.cost += times * float(problem.costs[column.board])


@dataclass(frozen=True)
class Answer:
    """The linear program's answer.

    Parameters
    ----------
    objective : its value.
    demand, boards : duals of the demands and of the boards' limits.
    cost : dual of the cost limit, zero or less.
    lengths : dual of each length, by place.
    short : pieces that the columns could not give.
    patterns, layouts : how often each is used.
    """

    objective: float
    demand: Floats
    boards: Floats
    cost: float
    lengths: Floats
    short: float
    patterns: Floats
    layouts: Floats

    def prices(self, problem: Problem, aim: Aim) -> Floats:
        """What each board has to be worth to be taken."""
        base = problem.volumes if aim.wood else problem.costs
        return base - self.cost * problem.costs - self.boards


class Master:
    """The linear program over the columns found so far.

    Parameters
    ----------
    problem : the problem.
    aim : what is made least.

    Attributes
    ----------
    fewest, most : boards to be taken of each kind; heeded by the next `restrict`.
    """

    def __init__(self, problem: Problem, aim: Aim) -> None:
        import numpy as np

        self.problem, self.aim = problem, aim
        self.fewest, self.most = np.zeros(len(problem.boards)), problem.limits.copy()
        self.patterns: dict[Pattern, int] = {}
        self.layouts: dict[Layout, int] = {}
        self._yields: list[Ints] = []
        self._spare: list[Ints] = []
        self._length = len(problem.demands)
        self._board = self._length + problem.starts[-1]
        self._rows = self._board + len(problem.boards) + 1
        self.lp: Any = quiet_highs()
        free = np.full(self._rows, np.inf)
        none = np.zeros(0, dtype=np.int32)
        start = np.zeros(self._rows, dtype=np.int32)
        self.lp.addRows(self._rows, -free, free, 0, start, none, np.zeros(0))
        dearest = float((problem.volumes if aim.wood else problem.costs).max(initial=1.0))
        self._load([(PENALTY * max(dearest, 1.0), {k: 1.0}) for k in range(self._length)])
        self.restrict(Left.all(problem))

    @property
    def columns(self) -> list[Pattern | Layout]:
        """All columns found so far."""
        return [*self.patterns, *self.layouts]

    def restrict(self, left: Left) -> None:
        """Ask for what is left only; layouts that would give too much are switched off."""
        import numpy as np

        lower, upper = np.full(self._rows, -np.inf), np.full(self._rows, np.inf)
        lower[: self._length] = left.counts
        lower[self._length : self._board] = left.lengths
        lower[self._board : -1] = self.fewest - left.used
        upper[self._board : -1] = self.most - left.used
        if self.aim.cost_limit is not None:
            upper[-1] = self.aim.cost_limit - left.cost
        places = np.arange(self._rows, dtype=np.int32)
        self.lp.changeRowsBounds(self._rows, places, lower, upper)
        if self.layouts:
            over = np.array(self._yields) - left.counts >= np.array(self._spare)
            columns = np.fromiter(self.layouts.values(), dtype=np.int32)
            most = np.where(over.any(axis=1), 0.0, np.inf)
            self.lp.changeColsBounds(len(columns), columns, np.zeros(len(columns)), most)

    def add(self, columns: Iterable[Pattern | Layout]) -> int:
        """Add columns unless they are there; how many were new."""
        first = int(self.lp.getNumCol())
        entries: list[tuple[float, dict[int, float]]] = []
        for column in columns:
            if column in self.patterns or column in self.layouts:
                continue
            place = first + len(entries)
            if isinstance(column, Pattern):
                self.patterns[column] = place
                entries.append(self._pattern(column))
            else:
                self.layouts[column] = place
                entries.append(self._layout(column))
        self._load(entries)
        return len(entries)

    def _load(self, entries: Sequence[tuple[float, dict[int, float]]]) -> None:
        """Put columns into the linear program, each with its price and its entries by row."""
        import numpy as np

        count = len(entries)
        if not count:
            return
        kept = [{row: value for row, value in e.items() if value} for _, e in entries]
        starts = np.concatenate([[0], np.cumsum([len(e) for e in kept])[:-1]]).astype(np.int32)
        rows = np.array([row for e in kept for row in e], dtype=np.int32)
        values = np.array([v for e in kept for v in e.values()], dtype=np.float64)
        prices = np.array([price for price, _ in entries])
        none, free = np.zeros(count), np.full(count, np.inf)
        self.lp.addCols(count, prices, none, free, len(rows), starts, rows, values)

    def _layout(self, column: Layout) -> tuple[float, dict[int, float]]:
        found = self.problem.yields(column)
        self._yields.append(found)
        self._spare.append(self.problem.spare(column))
        entries = {k: float(n) for k, n in enumerate(found)}
        entries[self._length + self.problem.place(column)] = -1.0
        return (-self.problem.kept_edge(column) if self.aim.wood else 0.0), entries

    def _pattern(self, column: Pattern) -> tuple[float, dict[int, float]]:
        p = self.problem
        start = self._length + p.starts[p.boards[column.board].section]
        entries = {start + a: float(n) for a, n in enumerate(p.lengths_in(column))}
        cost = float(p.costs[column.board])
        entries[self._board + column.board] = 1.0
        entries[self._rows - 1] = cost
        taken = float(p.volumes[column.board]) - p.kept_ends(column)
        return (taken if self.aim.wood else cost), entries

    def reduced(self) -> Floats:
        """Reduced price of each column, in their order, after the last `solve`."""
        import numpy as np

        dual = np.array(self.lp.getSolution().col_dual)
        return dual[[*self.patterns.values(), *self.layouts.values()]]

    def _run(self) -> None:
        """Solve from the last basis; where that fails, once more from none."""
        import highspy

        self.lp.run()
        if self.lp.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            self.lp.clearSolver()
            self.lp.run()

    def solve(self) -> Answer:
        """Solve the linear program over the columns at hand."""
        import numpy as np

        self._run()
        solution = self.lp.getSolution()
        dual = np.nan_to_num(np.array(solution.row_dual), posinf=0.0, neginf=0.0)
        x, n = np.array(solution.col_value), self._length
        return Answer(
            float(self.lp.getInfo().objective_function_value),
            np.maximum(dual[:n], 0.0),
            dual[self._board : -1],
            min(0.0, float(dual[-1])),
            dual[n : self._board],
            float(x[:n].sum()),
            x[list(self.patterns.values())],
            x[list(self.layouts.values())],
        )
