"""Better plans from a plan: some boards are taken out and what they gave is cut anew."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.beam import Beam
from overbend.stock.build import Builder, Sawn, score
from overbend.stock.direct import Direct, size_of
from overbend.stock.generate import enrich
from overbend.stock.master import Left, Master
from overbend.stock.patterns import Aim, Problem
from overbend.stock.pool import Pool, cheapest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Search"]

FREED = (20, 80)
"""Pieces that are cut anew at once, about: least and most."""

COLUMNS = 200
"""Layouts that the linear program keeps for them."""

ROUNDS = 6
"""Rounds of column generation before those are chosen."""

MIXED = 0.3
"""How much a board's worth is blurred when boards are chosen to be cut anew."""

PROGRAM_SHARE = 0.3
"""Share of the time in which few boards are cut anew by one program, where there are many."""

DIRECT_SECONDS = 1.0
"""Time such a program may take [s]."""

DIRECT_PIECES = 35
"""Pieces it cuts, about."""

DIRECT_BARS = 8_000
"""Most bar variables of it."""

MORE_BOARDS = 2
"""Other boards it may choose from."""


@dataclass
class Search:
    """A search for a better plan.

    Parameters
    ----------
    problem, aim : the problem and what is made least.
    builder : builds boards.
    rng : chance.
    better : told of each better plan.
    pool : patterns and layouts seen.
    best : plan so far.
    """

    problem: Problem
    aim: Aim
    builder: Builder
    rng: np.random.Generator
    better: Callable[[list[Sawn]], None]
    pool: Pool
    best: list[Sawn] | None = None

    def first(self, settled: Sequence[Sawn], master: Master, tries: int, clock: Clock) -> None:
        """Build plans on top of settled boards."""
        for n in range(tries):
            if clock.over and self.best is not None:
                return
            new = self._built(settled, 0.0 if n == 0 else 0.05)
            if new is not None:
                self.offer([*settled, *new])
        beam = Beam(self.builder, master, None, clock)
        found = beam.find(self._left(settled), math.inf)
        if found is not None:
            self.offer([*settled, *found])
        master.restrict(Left.all(self.problem))

    def run(self, clock: Clock, done: Callable[[], bool]) -> None:
        """Improve the plan until time is up or `done` says so."""
        began, spent, many = clock.used, 0.0, self.problem.counts.sum() > FREED[0]
        while self.best is not None and not clock.over and not done():
            before = clock.used
            if many and spent >= PROGRAM_SHARE * (before - began):
                self._again(clock)
            else:
                self._redone(Clock(min(DIRECT_SECONDS, clock.left), clock.cancel))
                spent += clock.used - before

    def join(self, plan: list[Sawn]) -> None:
        """Take in a plan that was found elsewhere."""
        self.pool.add(c for board in plan for c in board.columns)
        self.offer(plan)

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

    def _built(self, stay: Sequence[Sawn], spread: float) -> list[Sawn] | None:
        """Boards for what the boards that stay do not give, the most worth for its price first."""
        left = self._left(stay)
        values = self.builder.values * self.rng.uniform(1 - spread, 1 + spread, len(left.counts))
        new = self.builder.build(left.counts, left.used, values, self.rng)
        for board in new or ():
            self.pool.add(board.columns)
        return new

    def _again(self, clock: Clock) -> None:
        """Take some boards out and cut what they gave anew, by the linear program."""
        free = self._freed(int(self.rng.integers(*FREED)))
        stay = self._staying(free)
        left, limit = self._left(stay), sum(b.value(self.aim) for b in free)
        master = Master(self.problem, self.aim)
        master.add(c for b in free for c in b.columns)
        master.add(self.pool.useful(left.counts))
        master.restrict(left)
        answer, _ = enrich(master, left, ROUNDS, self.builder.among, clock)
        if answer.objective >= limit - 1e-6:
            return
        small = cheapest(master, left, COLUMNS)
        found = Beam(self.builder, small, self.rng, clock).find(left, limit)
        if found is not None:
            self.pool.add(c for board in found for c in board.columns)
            self.offer([*stay, *found])

    def _staying(self, free: Sequence[Sawn]) -> list[Sawn]:
        out = {id(board) for board in free}
        return [board for board in self.best or () if id(board) not in out]

    def _ratios(self, plan: Sequence[Sawn]) -> Floats:
        """Worth of what each board gives for its price; what is not wanted is worth nothing."""
        import numpy as np

        wanted, found = self.problem.counts.copy(), np.zeros(len(plan))
        for n, board in enumerate(plan):
            gives = np.minimum(board.yields, wanted)
            wanted -= gives
            found[n] = gives @ self.builder.values / self.builder.prices[board.pattern.board]
        return np.minimum(found, 1.0)

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

        if self.aim.wood:
            return
        free = self._freed(DIRECT_PIECES)
        stay = self._staying(free)
        left, copies = self._left(stay), np.zeros(len(self.problem.boards), dtype=np.int64)
        for board in free:
            copies[board.pattern.board] += 1
        room = (self.problem.limits - left.used - copies > 0) & self.builder.good
        for kind in self.rng.permutation(np.flatnonzero(room))[:MORE_BOARDS]:
            copies[kind] += 1
        if size_of(self.problem, left.counts, copies, DIRECT_BARS) > DIRECT_BARS:
            return
        program = Direct(self.problem, left.counts, copies)
        found = program.better(sum(b.cost for b in free), clock, int(self.rng.integers(2**31)))
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
