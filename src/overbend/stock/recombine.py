"""The best plan from given columns: patterns and layouts put together anew, in whole numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.build import Sawn
from overbend.stock.mip import Column, Found, solve_whole
from overbend.stock.patterns import Aim, Layout, Pattern, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["assemble", "recombine"]

TIE = 1e-4
"""Weight of the wood's share against the cost's, so that of two equal costs the less wood wins."""


def recombine(
    problem: Problem,
    aim: Aim,
    columns: Iterable[Pattern | Layout],
    wanted: Ints,
    kept: Sequence[Sawn],
    start: Sequence[Sawn],
    clock: Clock,
) -> tuple[list[Sawn] | None, Found]:
    """Least boards from the columns that give what is wanted.

    Parameters
    ----------
    problem : the problem.
    aim : what is made least.
    columns : patterns and layouts to choose from, besides those of `start`.
    wanted : pieces of each demand.
    kept : boards that stay, which count for limits and cost.
    start : boards to start from, or none.
    clock : when to end.

    Returns
    -------
    The boards when better ones than those of `start` were found, and the program's result.
    """
    import numpy as np

    given = [c for b in start for c in b.columns]
    all_columns = list(dict.fromkeys((*given, *columns)))
    rows = _Rows(problem, aim, wanted, kept)
    counts = np.zeros(len(all_columns))
    places = {column: n for n, column in enumerate(all_columns)}
    for column in given:
        counts[places[column]] += 1
    found = solve_whole(
        [rows.column(c) for c in all_columns], rows.lower, rows.upper, clock,
        start=counts if start else None, gap=1e-6,
    )  # fmt: skip
    if found.counts is None:
        return None, found
    used = [(c, int(n)) for c, n in zip(all_columns, found.counts, strict=True) if n]
    return assemble(problem, used), found


def assemble(problem: Problem, used: Sequence[tuple[Pattern | Layout, int]]) -> list[Sawn]:
    """Boards with the layouts laid on their lengths, equal layouts together."""
    waiting: dict[int, list[Layout]] = {}
    for column, times in used:
        if isinstance(column, Layout):
            waiting.setdefault(problem.place(column), []).extend([column] * times)
    plan = []
    for column, times in used:
        if isinstance(column, Pattern):
            start = problem.starts[problem.boards[column.board].section]
            for _ in range(times):
                layouts = [
                    waiting[start + a].pop()
                    for a, n in enumerate(problem.lengths_in(column))
                    for _ in range(n)
                    if waiting.get(start + a)
                ]
                plan.append(Sawn.of(problem, column, layouts))
    return [board for board in plan if board.layouts]


class _Rows:
    """Rows of the program: demands, lengths, boards, cost."""

    def __init__(self, problem: Problem, aim: Aim, wanted: Ints, kept: Sequence[Sawn]) -> None:
        import numpy as np

        self.problem, self.aim, self.wanted = problem, aim, wanted
        self.length = len(wanted)
        self.board = self.length + problem.starts[-1]
        size = self.board + len(problem.boards) + 1
        self.lower, self.upper = np.full(size, -np.inf), np.full(size, np.inf)
        self.lower[: self.length] = wanted
        self.lower[self.length : self.board] = 0.0
        self.upper[self.board : -1] = problem.limits
        if aim.cost_limit is not None:
            self.upper[-1] = aim.cost_limit + 1e-6
        for board in kept:
            self.upper[self.board + board.pattern.board] -= 1
            self.upper[-1] -= board.cost
        costs, volumes = problem.costs, problem.volumes
        self.tie = TIE * float(costs.sum() / volumes.sum()) if volumes.sum() else 0.0

    def column(self, column: Pattern | Layout) -> Column:
        p = self.problem
        wood_price = 1.0 if self.aim.wood else self.tie
        if isinstance(column, Layout):
            gives = p.yields(column).clip(max=self.wanted)
            entries = {k: float(n) for k, n in enumerate(gives) if n}
            entries[self.length + p.place(column)] = -1.0
            return Column(-wood_price * p.kept_edge(column), entries)
        start = self.length + p.starts[p.boards[column.board].section]
        entries = {start + a: float(n) for a, n in enumerate(p.lengths_in(column)) if n}
        cost = float(p.costs[column.board])
        entries[self.board + column.board] = 1.0
        if cost:
            entries[len(self.lower) - 1] = cost
        wood = float(p.volumes[column.board]) - p.kept_ends(column)
        return Column((0.0 if self.aim.wood else cost) + wood_price * wood, entries)
