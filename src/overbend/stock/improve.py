"""Better plans from a plan: some boards are taken out and what they gave is cut anew."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.build import Builder, Sawn, score
from overbend.stock.generate import enrich
from overbend.stock.master import Answer, Left, Master
from overbend.stock.patterns import Aim, Layout, Pattern, Problem
from overbend.stock.recombine import assemble, recombine

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Search", "settle"]

ROUNDS = 3
"""Times the linear program is solved again for what is left."""

FREED = 150
"""Pieces that are cut anew at once when columns are recombined."""


def settle(master: Master, clock: Clock) -> list[Sawn]:
    """Boards that the linear program uses whole, complete with their layouts.

    Parameters
    ----------
    master : with the columns generated.
    clock : when to end.
    """
    problem = master.problem
    left, used = Left.all(problem), dict[Pattern | Layout, int]()
    for turn in range(ROUNDS):
        master.restrict(left)
        answer, _ = enrich(master, left, 6 if turn else 0, None, clock)
        new = _whole(master, answer, left)
        for column, times in new:
            used[column] = used.get(column, 0) + times
        if not new or clock.over:
            break
    master.restrict(Left.all(problem))
    plan = assemble(problem, list(used.items()))
    return [b for b in plan if len(b.layouts) == sum(problem.lengths_in(b.pattern))]


def _whole(master: Master, answer: Answer, left: Left) -> list[tuple[Pattern | Layout, int]]:
    """Whole parts of the answer, as far as they give nothing that is not wanted; `left` follows."""
    import numpy as np

    problem, new = master.problem, list[tuple[Pattern | Layout, int]]()
    layouts, patterns = list(master.layouts), list(master.patterns)
    for n in np.flatnonzero(answer.layouts >= 1 - 1e-6):
        times, gives = int(answer.layouts[n] + 1e-6), problem.yields(layouts[n])
        spare = problem.spare(layouts[n])
        while times and (times * gives - left.counts >= spare).any():
            times -= 1
        if times:
            left.take(problem, layouts[n], times)
            new.append((layouts[n], times))
    for n in np.flatnonzero(answer.patterns >= 1 - 1e-6):
        times = int(answer.patterns[n] + 1e-6)
        left.take(problem, patterns[n], times)
        new.append((patterns[n], times))
    return new


@dataclass
class Search:
    """A search for a better plan.

    Parameters
    ----------
    problem, aim : the problem and what is made least.
    builder : builds boards.
    rng : chance.
    better : told of each better plan.
    best : plan so far.
    columns : patterns and layouts seen, to recombine.
    """

    problem: Problem
    aim: Aim
    builder: Builder
    rng: np.random.Generator
    better: Callable[[list[Sawn]], None]
    best: list[Sawn] | None = None
    columns: dict[Pattern | Layout, None] = field(default_factory=dict)

    def first(self, settled: Sequence[Sawn], tries: int, clock: Clock) -> None:
        """Build plans on top of settled boards."""
        for n in range(tries):
            spread = 0.0 if n == 0 else 0.05
            if clock.over and self.best is not None:
                return
            new = self._anew(settled, spread, math.inf)
            if new is not None:
                self._take([*settled, *new])

    def run(self, clock: Clock, done: Callable[[], bool]) -> None:
        """Improve the plan until time is up or `done` says so."""
        if self.best is None:
            return
        plan, energy = self.best, self._energy(self.best)
        turns, known = 0, len(self.columns)
        heat = 0.02 * float(self.builder.prices.mean())
        while not clock.over and not done():
            turns += 1
            if turns % 60 == 0 and len(self.columns) > known:
                known = len(self.columns)
                self._recombine(clock.part(0.15))
                plan, energy = self.best, self._energy(self.best)
            warm = heat * clock.left / clock.seconds + 1e-9
            out = self._drawn(plan)
            stay = [b for n, b in enumerate(plan) if n not in out]
            budget = self.builder.price_of(plan[n] for n in out) * 1.1 + warm
            new = self._anew(stay, float(self.rng.choice([0.03, 0.1, 0.25])), budget)
            if new is None or not self._allowed(after := [*stay, *new]):
                continue
            self._take(after)
            level = self._energy(after)
            if level < energy or self.rng.random() < math.exp((energy - level) / warm):
                plan, energy = after, level

    def finish(self, clock: Clock) -> bool:
        """Recombine all columns seen once; whether the result is the best they can give."""
        return self._recombine(clock, everything=True)

    def _allowed(self, plan: Sequence[Sawn]) -> bool:
        limit = self.aim.cost_limit
        return limit is None or sum(b.cost for b in plan) <= limit + 1e-6

    def _take(self, plan: list[Sawn]) -> None:
        """Keep the plan when it is the best so far."""
        if not self._allowed(plan):
            return
        if self.best is None or self._score(plan) < self._score(self.best):
            self.best = plan
            self.better(plan)

    def _score(self, plan: Sequence[Sawn]) -> tuple[float, ...]:
        found = score(plan)
        return found[1:] if self.aim.wood else found

    def _anew(self, stay: Sequence[Sawn], spread: float, budget: float) -> list[Sawn] | None:
        """Boards for what the boards that stay do not give."""
        import numpy as np

        wanted, used = self.problem.counts.copy(), np.zeros(len(self.problem.boards), dtype=int)
        for board in stay:
            wanted -= board.yields
            used[board.pattern.board] += 1
        values = self.builder.values * self.rng.uniform(1 - spread, 1 + spread, len(wanted))
        new = self.builder.build(wanted.clip(min=0), used, values, self.rng, budget)
        for board in new or ():
            self.columns.update(dict.fromkeys((board.pattern, *board.layouts)))
        return new

    def _ratios(self, plan: Sequence[Sawn]) -> Floats:
        """Worth of what each board gives for its price; what is not wanted is worth nothing."""
        import numpy as np

        wanted, found = self.problem.counts.copy(), np.zeros(len(plan))
        for n, board in enumerate(plan):
            gives = np.minimum(board.yields, wanted)
            wanted -= gives
            found[n] = gives @ self.builder.values / self.builder.prices[board.pattern.board]
        return np.minimum(found, 1.0)

    def _energy(self, plan: Sequence[Sawn]) -> float:
        """Price lost, more where it is lost in many boards than in one that may yet be saved."""
        import numpy as np

        prices = np.array([self.builder.prices[b.pattern.board] for b in plan])
        return float((prices * (1 - self._ratios(plan) ** 2)).sum())

    def _drawn(self, plan: Sequence[Sawn]) -> set[int]:
        """Two to five boards, rather those that are worth little for their price."""
        import numpy as np

        ratios = self._ratios(plan)
        chances = np.exp(-6 * (ratios - ratios.min())) + 0.04
        count = min(len(plan), int(self.rng.integers(2, 6)))
        drawn = self.rng.choice(len(plan), size=count, replace=False, p=chances / chances.sum())
        return {int(n) for n in drawn}

    def _recombine(self, clock: Clock, *, everything: bool = False) -> bool:
        """Put the worst boards together anew from all columns seen."""
        import numpy as np

        assert self.best is not None
        free, pieces = list[Sawn](), 0
        for n in np.argsort(self._ratios(self.best), kind="stable"):
            board = self.best[n]
            if free and pieces + board.yields.sum() > FREED and not everything:
                break
            free.append(board)
            pieces += int(board.yields.sum())
        stay = [b for b in self.best if not any(b is f for f in free)]
        wanted = (self.problem.counts - sum(b.yields for b in stay)).clip(min=0)
        useful = [c for c in self.columns if self._useful(c, wanted)]
        new, found = recombine(self.problem, self.aim, useful, wanted, stay, free, clock)
        if new is not None:
            self._take([*stay, *new])
        return found.optimal

    def _useful(self, column: Pattern | Layout, wanted: Ints) -> bool:
        """Whether a layout gives nothing that is not wanted."""
        if isinstance(column, Pattern):
            return True
        gives = self.problem.yields(column)
        return bool((gives - wanted < self.problem.spare(column)).all())
