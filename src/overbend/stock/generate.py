"""Column generation: new patterns as long as they make the plan cheaper, and the proven bound."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.patterns import Aim, Answer, Layout, Master, Pattern, Problem
from overbend.stock.pricing import Layouts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Generated", "Priced", "generate", "price"]

TOL = 1e-7


@dataclass(frozen=True)
class Priced:
    """Best columns for one set of duals.

    Parameters
    ----------
    found : best layouts, by section; None where a section was left out.
    boards : value and pattern of each board whose section was looked at.
    """

    found: tuple[Layouts | None, ...]
    boards: tuple[tuple[float, Pattern], ...]

    def layout(self, section: int, length: int) -> Layout:
        """Best layout of one of a section's lengths."""
        found = self.found[section]
        assert found is not None
        return Layout(section, length, found.bars(length))


@dataclass(frozen=True)
class Generated:
    """Columns and bound.

    Parameters
    ----------
    master : with the columns.
    answer : of its linear program.
    bound : proven: no plan is below this; -inf when nothing is proven.
    done : whether no better column exists.
    """

    master: Master
    answer: Answer
    bound: float
    done: bool


def price(
    problem: Problem,
    values: Floats,
    *,
    keep: float = 0.0,
    counts: Ints | None = None,
    ceiling: bool = False,
    floors: Sequence[Floats] | None = None,
    among: Set[int] | None = None,
) -> Priced:
    """Best layout of each length and best pattern of each board.

    Parameters
    ----------
    problem : the problem.
    values : of one piece of each demand.
    keep : value of volume kept [1/mm3].
    counts : pieces still wanted; None: all.
    ceiling : whether the values have to be above or at any pattern's, for a proof.
    floors : least value of each section's lengths, whatever the layouts.
    among : sections to look at; None: all.
    """
    wanted = problem.counts if counts is None else counts
    found = tuple(
        p.best(values, wanted, keep, ceiling) if p and (among is None or s in among) else None
        for s, p in enumerate(problem.layout_pricers)
    )
    cache: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {}
    for (s, span), cutter in problem.span_pricers.items():
        layouts = found[s]
        if layouts is not None:
            value = layouts.values if floors is None else floors[s].clip(min=layouts.values)
            cache[s, span] = cutter.best(value, keep)
    boards = []
    for b, board in enumerate(problem.boards):
        if found[board.section] is not None:
            parts = [cache[board.section, n] for _, n in board.spans]
            boards.append((sum(v for v, _ in parts), Pattern(b, tuple(cut for _, cut in parts))))
    return Priced(found, tuple(boards))


def bound_of(problem: Problem, answer: Answer, priced: Priced, aim: Aim) -> float:
    """Bound that any duals prove, by Lagrange; scaled by Farley where boards have no limit."""
    gains = []
    limit = aim.cost_limit if aim.cost_limit is not None else 0.0
    base = float(answer.demand @ problem.counts) + answer.cost * limit
    scale = 1.0
    for value, pattern in priced.boards:
        board = problem.boards[pattern.board]
        stock = problem.supply[board.stock]
        price = (stock.volume if aim.wood else stock.cost) - answer.cost * stock.cost
        if board.limit is None and value > price and not aim.wood:
            scale = min(scale, price / value)
        gains.append((price, value, board.limit, stock.cost))
    pieces = sum(problem.counts)
    total = scale * base
    for price, value, count, cost in gains:
        most = pieces if count is None else count
        if aim.wood and cost > 0:
            most = min(most, int(limit / cost + 1e-9))
        total += most * min(0.0, price - scale * value)
    return total


def _fresh(master: Master, answer: Answer, priced: Priced) -> Iterator[Pattern | Layout]:
    """Columns that would make the answer better: boards with what they use, then layouts."""
    problem, aim = master.problem, master.aim
    for value, pattern in priced.boards:
        stock = problem.supply[problem.boards[pattern.board].stock]
        price = (stock.volume if aim.wood else stock.cost) - answer.cost * stock.cost
        price -= float(answer.limit[pattern.board])
        if value > price + TOL * max(1.0, price):
            yield pattern
            section = problem.boards[pattern.board].section
            for a, n in enumerate(problem.lengths_in(pattern)):
                if n:
                    yield priced.layout(section, a)
    for s, layouts in enumerate(priced.found):
        start = master.rows.length[s] - len(problem.demands)
        for a, value in enumerate(layouts.values if layouts is not None else ()):
            dual = float(answer.lengths[start + a])
            if dual > TOL and value > dual * (1 + 1e-6) + TOL:
                yield priced.layout(s, a)


def generate(master: Master, clock: Clock) -> Generated:
    """Add columns until none makes the plan better, or time is up.

    Parameters
    ----------
    master : the linear program, with or without columns.
    clock : when to end.
    """
    problem, keep = master.problem, 1.0 if master.aim.wood else 0.0
    bound = float("-inf")
    while True:
        answer = master.solve()
        priced = price(problem, answer.demand, keep=keep)
        bound = max(bound, bound_of(problem, answer, priced, master.aim))
        new = [master.add(column) for column in list(_fresh(master, answer, priced))]
        if not any(new):
            return Generated(master, answer, bound, True)
        if clock.over:
            return Generated(master, answer, bound, False)
