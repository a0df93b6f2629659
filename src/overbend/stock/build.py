"""Plans built board by board, the most worth for its price first, with some chance in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.stock.generate import price
from overbend.stock.master import Answer
from overbend.stock.patterns import Aim, Layout, Pattern, Problem
from overbend.stock.pricing import Layouts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Builder", "Sawn", "score"]

TRIED = 4
"""Boards looked at that could take all that is left."""

GOOD = 0.95
"""Share of its price that a board has to be worth to be looked at again and again."""

LEAST = 0.25
"""Least price of wood that is free, and least worth of pieces it gives, of the mean price."""

STEEP = 25.0
"""How much more often a board that is worth its price is tried than one that is not."""


@dataclass(frozen=True, eq=False)
class Sawn:
    """One board with all that is cut from it.

    Parameters
    ----------
    pattern : how it is crosscut.
    layouts : one for each length that is used.
    yields : strips of each demand.
    cost : of the board.
    wood : taken, less what is kept [mm3].
    """

    pattern: Pattern
    layouts: tuple[Layout, ...]
    yields: Ints
    cost: float
    wood: float

    @property
    def columns(self) -> list[Pattern | Layout]:
        """Pattern and layouts."""
        return [self.pattern, *self.layouts]

    def value(self, aim: Aim) -> float:
        """What is made least: its wood or its cost."""
        return self.wood if aim.wood else self.cost

    @classmethod
    def of(cls, problem: Problem, pattern: Pattern, layouts: Iterable[Layout]) -> Sawn:
        """Board with its layouts; those without bars are left out."""
        import numpy as np

        used = tuple(layout for layout in layouts if layout.bars)
        yields = np.zeros(len(problem.demands), dtype=np.int64)
        for layout in used:
            yields += problem.yields(layout)
        kept = problem.kept_ends(pattern) + sum(problem.kept_edge(layout) for layout in used)
        kind = pattern.board
        wood = float(problem.volumes[kind]) - kept
        return cls(pattern, used, yields, float(problem.costs[kind]), wood)


def score(plan: Sequence[Sawn]) -> tuple[float, float, int]:
    """Cost, wood and set-ups of a plan, to compare by: less is better.

    Set-ups are counted as different lengths and bar widths.
    """
    stops = {
        (layout.section, layout.length) for board in plan for layout in board.layouts
    } | {
        (-1 - layout.section, group)
        for b in plan
        for layout in b.layouts
        for group, _ in layout.bars
    }  # fmt: skip
    cost = sum(board.cost for board in plan)
    return round(cost, 6), round(sum(board.wood for board in plan), -1), len(stops)


class Builder:
    """Builds plans for what is left to be cut.

    Parameters
    ----------
    problem : the problem.
    answer : of the linear program, whose duals say what pieces and boards are worth.
    aim : what is made least.
    """

    def __init__(self, problem: Problem, answer: Answer, aim: Aim) -> None:
        import numpy as np

        self.problem = problem
        self.keep = 1.0 if aim.wood else 0.0
        prices = answer.prices(problem, aim)
        unit = LEAST * max(float(prices.sum()), 1.0) / float(problem.volumes.sum())
        self.prices = np.maximum(prices, unit * problem.volumes)
        pieces = np.array([d.volume / d.count for d in problem.demands])
        self.values = np.maximum(answer.demand, unit * pieces)
        worth = np.zeros(len(prices))
        for value, pattern in price(problem, self.values, keep=self.keep).boards:
            worth[pattern.board] = value
        ratio = np.minimum(worth / self.prices, 1.0)
        self.good = ratio >= GOOD * ratio.max(initial=0.0)
        self.among = frozenset(problem.boards[b].section for b in np.flatnonzero(self.good))
        self.chances = np.exp(STEEP * (ratio - ratio.max(initial=0.0)))
        self.by_price = np.argsort(self.prices)

    def build(
        self, wanted: Ints, used: Floats, values: Floats, rng: np.random.Generator
    ) -> list[Sawn] | None:
        """Boards that give what is wanted.

        Parameters
        ----------
        wanted : pieces of each demand.
        used : boards already taken of each kind.
        values : of the pieces, for choosing.
        rng : chance.

        Returns
        -------
        The boards, or None when that did not work out.
        """
        plan: list[Sawn] = []
        used = used.copy()
        while wanted.any():
            there = self.problem.limits > used
            seen: dict[int, Layouts] = {}
            board = self.last(wanted, there, values, seen)
            board = board or self._next(wanted, there, values, seen, rng)
            if board is None or not (board.yields[wanted > 0] > 0).any():
                return None
            plan.append(board)
            used[board.pattern.board] += 1
            wanted = (wanted - board.yields).clip(min=0)
        return plan

    def last(
        self,
        wanted: Ints,
        there: NDArray[np.bool_],
        values: Floats | None = None,
        seen: dict[int, Layouts] | None = None,
    ) -> Sawn | None:
        """Cheapest board that takes all that is left; None when none is found.

        Parameters
        ----------
        wanted : pieces of each demand.
        there : whether there is another board of each kind.
        values : of the pieces; None: as the linear program has them.
        seen : layouts found for what is wanted, by section; they get more.
        """
        seen = {} if seen is None else seen
        values = self.values if values is None else values
        total = float(wanted @ values)
        if total > self.prices[there].max(initial=0.0):
            return None
        kinds = [b for b in self.by_price if there[b] and self.prices[b] >= 0.98 * total]
        for kind in kinds[:TRIED]:
            worth, pattern = self._best(int(kind), wanted, values, seen)
            if worth >= float(wanted @ values) * (1 - 1e-9):
                board = self._fill(pattern, wanted, values, seen)
                if (board.yields >= wanted).all():
                    return board
        return None

    def _next(
        self,
        wanted: Ints,
        there: NDArray[np.bool_],
        values: Floats,
        seen: dict[int, Layouts],
        rng: np.random.Generator,
    ) -> Sawn | None:
        """The better of two boards drawn by chance."""
        chances = self.chances * there
        if not chances.any():
            return None
        drawn = rng.choice(len(chances), size=2, p=chances / chances.sum())
        best: tuple[float, Pattern] | None = None
        for kind in sorted({int(k) for k in drawn}):
            worth, pattern = self._best(kind, wanted, values, seen)
            ratio = worth / float(self.prices[kind])
            if worth > 0 and (best is None or ratio > best[0]):
                best = (ratio, pattern)
        if best is None:
            return self._any(wanted, there, values, seen)
        return self._fill(best[1], wanted, values, seen)

    def _any(
        self, wanted: Ints, there: NDArray[np.bool_], values: Floats, seen: dict[int, Layouts]
    ) -> Sawn | None:
        """The board most worth its price among all."""
        found = [
            (worth / float(self.prices[kind]), kind, pattern)
            for kind in range(len(there)) if there[kind]
            for worth, pattern in [self._best(kind, wanted, values, seen)] if worth > 0
        ]  # fmt: skip
        if not found:
            return None
        return self._fill(max(found, key=lambda f: f[:2])[2], wanted, values, seen)

    def _best(
        self, kind: int, wanted: Ints, values: Floats, seen: dict[int, Layouts]
    ) -> tuple[float, Pattern]:
        """Value and best pattern of one board."""
        problem = self.problem
        board = problem.boards[kind]
        if board.section not in seen:
            seen[board.section] = problem.pricer(board.section).best(values, wanted, self.keep)
        found = problem.cutters[board.section].best(seen[board.section].values, self.keep)
        parts = [found[n] for _, n in board.spans]
        return sum(v for v, _ in parts), Pattern(kind, tuple(cut for _, cut in parts))

    def _fill(
        self, pattern: Pattern, wanted: Ints, values: Floats, seen: dict[int, Layouts]
    ) -> Sawn:
        """The pattern's lengths filled one after the other, none with more than is wanted."""
        problem = self.problem
        section = problem.boards[pattern.board].section
        found, layouts = seen[section], []
        for a, n in enumerate(problem.lengths_in(pattern)):
            for _ in range(n):
                layout = Layout(section, a, found.bars(a))
                gives = problem.yields(layout)
                if (gives - wanted >= problem.spare(layout)).any():
                    found = problem.pricer(section).best(values, wanted, self.keep)
                    layout = Layout(section, a, found.bars(a))
                    gives = problem.yields(layout)
                layouts.append(layout)
                wanted = (wanted - gives).clip(min=0)
        return Sawn.of(problem, pattern, layouts)
