"""Better plans from a plan: some boards are taken out and what they gave is cut anew."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.build import Builder, Sawn, score
from overbend.stock.direct import Direct, size_of
from overbend.stock.generate import enrich, price
from overbend.stock.master import Left, Master
from overbend.stock.patterns import Aim, Layout, Pattern, Problem
from overbend.stock.recombine import recombine

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Search"]

FREED = 160
"""Pieces that are cut anew at once when columns are recombined, about."""

DIRECT_SECONDS = 2.0
"""Time one program for few boards may take [s]."""

DIRECT_BARS = 8_000
"""Most bar variables of such a program."""

MORE_BOARDS = 2
"""Other boards it may choose from."""

MIXED = 0.3
"""How much a board's worth is blurred when boards are chosen to be cut anew."""


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
                self.offer([*settled, *new])

    def run(self, clock: Clock, done: Callable[[], bool]) -> None:
        """Improve the plan until time is up or `done` says so.

        Boards built anew by chance and columns recombined by program take turns.
        """
        pieces, every = FREED // 2, int(self.problem.counts.sum())
        while self.best is not None and not clock.over and not done():
            if every > pieces:
                self._anneal(clock.part(0.1), done)
            before = self._score(self.best)
            proven = self._recombine(clock.part(0.15), pieces)
            if self._score(self.best) < before:
                continue
            self._redone(Clock(min(DIRECT_SECONDS, clock.left), clock.cancel))
            if proven and pieces >= every:
                self._anneal(clock.part(0.2), done)
            pieces = min(2 * FREED, pieces + FREED // 10)

    def _anneal(self, clock: Clock, done: Callable[[], bool]) -> None:
        """Take a few boards out and build anew what they gave, again and again."""
        assert self.best is not None
        plan, energy = self.best, self._energy(self.best)
        heat = 0.02 * float(self.builder.prices.mean())
        while not clock.over and not done():
            warm = heat * clock.left / clock.seconds + 1e-9
            out = self._drawn(plan)
            stay = [b for n, b in enumerate(plan) if n not in out]
            budget = self.builder.price_of(plan[n] for n in out) * 1.1 + warm
            new = self._anew(stay, float(self.rng.choice([0.03, 0.1, 0.25])), budget)
            if new is None or not self._allowed(after := [*stay, *new]):
                continue
            self.offer(after)
            level = self._energy(after)
            if level < energy or self.rng.random() < math.exp((energy - level) / warm):
                plan, energy = after, level

    def _allowed(self, plan: Sequence[Sawn]) -> bool:
        limit = self.aim.cost_limit
        return limit is None or sum(b.cost for b in plan) <= limit + 1e-6

    def offer(self, plan: list[Sawn]) -> None:
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

    def _recombine(self, clock: Clock, pieces: int) -> bool:
        """Put boards together anew, from columns seen and columns generated for their pieces.

        Returns
        -------
        Whether the result is the best that these columns can give.
        """
        assert self.best is not None
        free = self._freed(pieces)
        stay = [b for b in self.best if not any(b is f for f in free)]
        left = self._left(stay)
        columns = self._columns(free, left, clock)
        new, found = recombine(self.problem, self.aim, columns, left.counts, stay, free, clock)
        if new is not None:
            self.offer([*stay, *new])
        return found.optimal

    def _freed(self, pieces: int) -> list[Sawn]:
        """Boards to be cut anew: mostly those worth little for their price."""
        import numpy as np

        assert self.best is not None
        chance = self.rng.uniform(0, MIXED, len(self.best))
        free, count = list[Sawn](), 0
        for n in np.argsort(self._ratios(self.best) + chance, kind="stable"):
            board = self.best[n]
            count += int(board.yields.sum())
            if free and count > pieces:
                break
            free.append(board)
        return free

    def _redone(self, clock: Clock) -> None:
        """Cut few boards anew by one program, with one or two other boards to choose from."""
        import numpy as np

        assert self.best is not None
        if self.aim.wood:
            return
        free = self._freed(FREED // 3)
        stay = [b for b in self.best if not any(b is f for f in free)]
        left, copies = self._left(stay), np.zeros(len(self.problem.boards), dtype=np.int64)
        for board in free:
            copies[board.pattern.board] += 1
        room = (self.problem.limits - left.used - copies > 0) & self.builder.good
        for kind in self.rng.permutation(np.flatnonzero(room))[:MORE_BOARDS]:
            copies[kind] += 1
        if size_of(self.problem, left.counts, copies) > DIRECT_BARS:
            return
        program = Direct(self.problem, left.counts, copies)
        found = program.better(sum(b.cost for b in free), clock)
        if found is not None:
            self.offer([*stay, *found])

    def _left(self, stay: Sequence[Sawn]) -> Left:
        """What the boards that stay do not give."""
        left = Left.all(self.problem)
        for board in stay:
            left.counts -= board.yields
            left.used[board.pattern.board] += 1
            left.cost += board.cost
        left.counts = left.counts.clip(min=0)
        return left

    def _columns(self, free: Sequence[Sawn], left: Left, clock: Clock) -> list[Pattern | Layout]:
        """Columns that a better plan for what is left may have."""
        import numpy as np

        master = Master(self.problem, self.aim)
        for column in [*self.columns, *(c for b in free for c in b.columns)]:
            if self._useful(column, left.counts):
                master.add(column)
        master.restrict(left)
        answer, _ = enrich(master, left, 8, self.builder.among, clock)
        for _ in range(4):
            spread = self.rng.uniform(0.85, 1.15, len(left.counts))
            priced = price(
                self.problem, answer.demand * spread, keep=self.builder.keep, counts=left.counts,
                among=self.builder.among,
            )  # fmt: skip
            for column in self.builder.worthy(priced):
                master.add(column)
        master.restrict(left)
        answer = master.solve()
        limit = sum(b.wood if self.aim.wood else b.cost for b in free) - answer.objective
        reduced = np.array(master.lp.getSolution().col_dual)
        places = [*master.patterns.values(), *master.layouts.values()]
        return [
            column
            for column, n in zip(master.columns, places, strict=True)
            if reduced[n] <= limit + 1e-9
        ]

    def _useful(self, column: Pattern | Layout, wanted: Ints) -> bool:
        """Whether a layout gives nothing that is not wanted."""
        if isinstance(column, Pattern):
            return True
        gives = self.problem.yields(column)
        return bool((gives - wanted < self.problem.spare(column)).all())
