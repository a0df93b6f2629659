"""The problem as columns: board patterns and layouts, and the linear program over them.

A *pattern* crosscuts one board into lengths, a *layout* fills one length with bars. Boards give
lengths, layouts turn lengths into strips: the program balances both, so that few columns of each
describe many plans.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from overbend.stock.pricing import BoardPricer, SectionPricer
from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.section import Board, Section, boards_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Aim", "Answer", "Layout", "Master", "Pattern", "Problem"]


@dataclass(frozen=True)
class Pattern:
    """A board crosscut: for each of its spans, how many of each of the section's lengths."""

    board: int
    cuts: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Layout:
    """A length ripped into bars.

    Parameters
    ----------
    section : its place.
    length : its place among the section's lengths.
    bars : group of each bar and the times of each of the group's layers.
    """

    section: int
    length: int
    bars: tuple[tuple[int, tuple[int, ...]], ...]


@dataclass(frozen=True)
class Problem:
    """What is wanted of one wood, from what, and how the shop cuts."""

    demands: tuple[Demand, ...]
    supply: tuple[Stock, ...]
    shop: Shop

    @cached_property
    def _both(self) -> tuple[tuple[Board, ...], tuple[Section, ...]]:
        return boards_of(self.demands, self.supply, self.shop)

    @property
    def boards(self) -> tuple[Board, ...]:
        """Boards that can give something."""
        return self._both[0]

    @property
    def sections(self) -> tuple[Section, ...]:
        """Their sections."""
        return self._both[1]

    @cached_property
    def pieces(self) -> tuple[int, ...]:
        """Length of each demand [nm]."""
        return tuple(whole(d.length) for d in self.demands)

    @cached_property
    def counts(self) -> Ints:
        """Pieces wanted of each demand."""
        import numpy as np

        return np.array([d.count for d in self.demands])

    @cached_property
    def layout_pricers(self) -> tuple[SectionPricer | None, ...]:
        """One for each section that has bars."""
        return tuple(
            SectionPricer(s, self.demands, self.shop) if s.bars else None
            for s in self.sections
        )

    @cached_property
    def span_pricers(self) -> dict[tuple[int, int], BoardPricer]:
        """One for each section and usable length."""
        keys = {(b.section, n) for b in self.boards for _, n in b.spans}
        return {(s, n): BoardPricer(self.sections[s], n, self.shop) for s, n in sorted(keys)}

    @cached_property
    def exact(self) -> bool:
        """Whether no size had to be rounded up to a grid."""
        pricers = [p for p in self.layout_pricers if p is not None]
        return all(p.grid.exact for p in (*pricers, *self.span_pricers.values()))

    def yields(self, layout: Layout) -> Floats:
        """Strips of each demand in a layout."""
        import numpy as np

        pricer = self.layout_pricers[layout.section]
        assert pricer is not None
        found = np.zeros(len(self.demands))
        for place, times in layout.bars:
            kinds = pricer.groups[place].kinds
            found[kinds] += np.asarray(times) * pricer.ends[layout.length, kinds]
        return found

    def kept_edge(self, layout: Layout) -> float:
        """Volume worth keeping beside the bars of a layout [mm3]."""
        pricer = self.layout_pricers[layout.section]
        assert pricer is not None
        kerf = whole(self.shop.kerf)
        used = sum(pricer.groups[place].width + kerf for place, _ in layout.bars)
        cell = min(-(-used // pricer.grid.cell), pricer.grid.room)
        return float(pricer.kept[layout.length, cell])

    def kept_ends(self, pattern: Pattern) -> float:
        """Volume worth keeping at the ends of a pattern's spans [mm3]."""
        board = self.boards[pattern.board]
        lengths, kerf = self.sections[board.section].lengths, whole(self.shop.kerf)
        total = 0.0
        for (_, span), cut in zip(board.spans, pattern.cuts, strict=True):
            pricer = self.span_pricers[board.section, span]
            used = sum(n * (length + kerf) for n, length in zip(cut, lengths, strict=True))
            total += float(pricer.kept[min(-(-used // pricer.grid.cell), pricer.grid.room)])
        return total

    def lengths_in(self, pattern: Pattern) -> list[int]:
        """How many of each length a pattern gives."""
        return [sum(c) for c in zip(*pattern.cuts, strict=True)]

    def cost(self, pattern: Pattern) -> float:
        """Cost of the board."""
        return self.supply[self.boards[pattern.board].stock].cost

    def wood(self, pattern: Pattern) -> float:
        """Volume taken: the board less what is kept of it [mm3]."""
        board = self.supply[self.boards[pattern.board].stock]
        return board.volume - self.kept_ends(pattern)


@dataclass(frozen=True)
class Aim:
    """What is made least: the cost, or the wood taken while the cost stays at a limit."""

    wood: bool = False
    cost_limit: float | None = None


@dataclass(frozen=True)
class Answer:
    """The linear program's answer.

    Parameters
    ----------
    objective : its value.
    demand, limit : duals of the demands and of the boards' limits.
    cost : dual of the cost limit, zero or less.
    lengths : dual of each (section, length).
    short : pieces that the columns could not give.
    patterns, layouts : how often each is used.
    """

    objective: float
    demand: Floats
    limit: Floats
    cost: float
    lengths: Floats
    short: float
    patterns: Floats
    layouts: Floats


class Master:
    """The linear program over the columns found so far.

    Parameters
    ----------
    problem : the problem.
    aim : what is made least.
    penalty : of a piece that cannot be given.
    """

    def __init__(self, problem: Problem, aim: Aim, penalty: float) -> None:
        import highspy
        import numpy as np

        self.problem, self.aim = problem, aim
        self.patterns: dict[Pattern, int] = {}
        self.layouts: dict[Layout, int] = {}
        self.rows = _Rows(problem)
        lower, upper = self.rows.bounds(aim)
        self.lp: Any = highspy.Highs()
        self.lp.setOptionValue("output_flag", False)
        self.lp.setOptionValue("threads", 1)
        none = np.zeros(0, dtype=np.int32)
        self.lp.addRows(
            len(lower), lower, upper, 0, np.zeros(len(lower), dtype=np.int32), none, np.zeros(0)
        )
        for k in range(len(problem.demands)):
            self._column(penalty, {k: 1.0})

    def _column(self, cost: float, entries: dict[int, float]) -> int:
        import numpy as np

        kept = {row: value for row, value in entries.items() if value}
        rows = np.fromiter(kept, dtype=np.int32, count=len(kept))
        values = np.fromiter(kept.values(), dtype=np.float64, count=len(kept))
        self.lp.addCol(cost, 0.0, float("inf"), len(kept), rows, values)
        return int(self.lp.getNumCol()) - 1

    def add(self, column: Pattern | Layout) -> bool:
        """Add a column unless it is there; whether it was new."""
        if isinstance(column, Pattern):
            if column in self.patterns:
                return False
            self.patterns[column] = self._column(*self.rows.pattern(column, self.aim))
            return True
        if column in self.layouts:
            return False
        self.layouts[column] = self._column(*self.rows.layout(column, self.aim))
        return True

    def solve(self) -> Answer:
        """Solve the linear program over the columns at hand."""
        import numpy as np

        self.lp.run()
        solution = self.lp.getSolution()
        dual, x = np.array(solution.row_dual), np.array(solution.col_value)
        rows, n = self.rows, len(self.problem.demands)
        return Answer(
            float(self.lp.getInfo().objective_function_value),
            np.maximum(dual[:n], 0.0),
            np.minimum(dual[rows.limit : rows.cost], 0.0),
            min(0.0, float(dual[rows.cost])),
            dual[n : rows.limit],
            float(x[:n].sum()),
            x[list(self.patterns.values())],
            x[list(self.layouts.values())],
        )


class _Rows:
    """Rows of the program: demands, balance of each length, limits of boards, cost limit."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.length: list[int] = []
        at = len(problem.demands)
        for section in problem.sections:
            self.length.append(at)
            at += len(section.lengths)
        self.limit, self.cost = at, at + len(problem.boards)

    def bounds(self, aim: Aim) -> tuple[Floats, Floats]:
        import numpy as np

        p, inf = self.problem, np.inf
        lower, upper = np.zeros(self.cost + 1), np.full(self.cost + 1, inf)
        lower[: len(p.demands)] = p.counts
        lower[self.limit :] = -inf
        for b, board in enumerate(p.boards):
            upper[self.limit + b] = inf if board.limit is None else board.limit
        upper[self.cost] = inf if aim.cost_limit is None else aim.cost_limit
        return lower, upper

    def pattern(self, column: Pattern, aim: Aim) -> tuple[float, dict[int, float]]:
        p = self.problem
        cost, start = p.cost(column), self.length[p.boards[column.board].section]
        entries = {start + k: float(n) for k, n in enumerate(p.lengths_in(column))}
        entries[self.limit + column.board] = 1.0
        entries[self.cost] = cost
        return (p.wood(column) if aim.wood else cost), entries

    def layout(self, column: Layout, aim: Aim) -> tuple[float, dict[int, float]]:
        p = self.problem
        entries = {k: float(n) for k, n in enumerate(p.yields(column))}
        entries[self.length[column.section] + column.length] = -1.0
        return (-p.kept_edge(column) if aim.wood else 0.0), entries
