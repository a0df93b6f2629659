"""Boards for what is left to be cut, chosen one after the other by the linear program.

The linear program for what is left says which boards it uses. The most used ones are cut, each is
judged by what the rest then costs at least, and the best few ways are followed further.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.build import Builder, Sawn
from overbend.stock.generate import enrich
from overbend.stock.master import Answer, Left, Master
from overbend.stock.patterns import Layout, Pattern

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Beam"]

WIDTH = 2
"""Ways followed at once."""

CHOICES = 2
"""Boards tried for each."""

ROUNDS = 8
"""Rounds of column generation before the first board; one before each later board."""

BLUR = 0.4
"""Least share of its use by which a board is ranked when there is chance in it."""

EQUAL = 1e-6


@dataclass(frozen=True)
class _Way:
    """Boards chosen so far, what they cost or take, what is left, and the least for all."""

    boards: tuple[Sawn, ...]
    spent: float
    left: Left
    least: float = 0.0


class Beam:
    """Finds boards for what is left.

    Parameters
    ----------
    builder : says which boards are good, and finds the last board.
    master : the linear program with its columns; it gets more.
    rng : chance in the ranking of boards; None: no chance.
    clock : when to end.
    """

    def __init__(
        self, builder: Builder, master: Master, rng: np.random.Generator | None, clock: Clock
    ) -> None:
        self.problem, self.aim = master.problem, master.aim
        self.builder, self.master, self.rng, self.clock = builder, master, rng, clock
        self.best: tuple[Sawn, ...] | None = None
        self.limit = math.inf

    def find(self, left: Left, limit: float) -> tuple[Sawn, ...] | None:
        """Boards that cost less than the limit, or take less wood; None when none are found.

        Parameters
        ----------
        left : what is left to be cut.
        limit : cost or wood that the boards have to stay below.
        """
        self.limit, self.best = limit, None
        ways, rounds = [_Way((), 0.0, left)], ROUNDS
        while ways and not self.clock.over:
            after = dict[bytes, _Way]()
            for way in ways:
                for new in self._further(way, rounds):
                    key = new.left.counts.tobytes() + new.left.used.tobytes()
                    if key not in after or new.spent < after[key].spent:
                        after[key] = new
            ways = sorted(after.values(), key=lambda w: w.least)[:WIDTH]
            rounds = 1
        return self.best

    def _further(self, way: _Way, rounds: int) -> Iterator[_Way]:
        """The way with one more board; a whole plan is kept instead."""
        self.master.restrict(way.left)
        answer, _ = enrich(self.master, way.left, rounds, self.builder.among, self.clock)
        if way.spent + answer.objective >= self.limit - EQUAL:
            return
        last = self.builder.last(way.left.counts, self.problem.limits > way.left.used)
        if last is not None:
            self._keep(way, last)
            return
        for board in self._boards(answer, way.left):
            left = way.left.less(board.pattern.board, board.yields, board.cost)
            if not left.counts.any():
                self._keep(way, board)
                continue
            self.master.restrict(left)
            spent = way.spent + board.value(self.aim)
            least = spent + self.master.solve().objective
            if least < self.limit - EQUAL:
                yield _Way((*way.boards, board), spent, left, least)

    def _keep(self, way: _Way, board: Sawn) -> None:
        """Keep a whole plan when it stays below the limit."""
        spent = way.spent + board.value(self.aim)
        if spent < self.limit - EQUAL:
            self.limit, self.best = spent, (*way.boards, board)

    def _boards(self, answer: Answer, left: Left) -> Iterator[Sawn]:
        """Boards that the answer uses most."""
        import numpy as np

        used = answer.patterns
        blur = 1.0 if self.rng is None else self.rng.uniform(BLUR, 1.0, len(used))
        patterns = list(self.master.patterns)
        for n in np.argsort(-used * blur, kind="stable")[:CHOICES]:
            if used[n] > EQUAL:
                board = self._filled(patterns[n], answer, left)
                if board.layouts:
                    yield board

    def _filled(self, pattern: Pattern, answer: Answer, left: Left) -> Sawn:
        """The board with layouts that the answer uses and that give what is wanted, or new ones."""
        import numpy as np

        problem, wanted = self.problem, left.counts
        section = problem.boards[pattern.board].section
        known = list(self.master.layouts)
        shares = {
            known[n]: float(answer.layouts[n])
            for n in np.flatnonzero(answer.layouts > EQUAL)
            if known[n].section == section
        }
        layouts = []
        for a, n in reversed(list(enumerate(problem.lengths_in(pattern)))):
            for _ in range(n if wanted.any() else 0):
                there = [x for x in shares if x.length == a and self._fits(x, wanted)]
                layout = max(there, key=shares.__getitem__) if there else self._new(
                    section, a, answer.demand, wanted
                )  # fmt: skip
                shares[layout] = shares.get(layout, 0.0) - 1.0
                layouts.append(layout)
                wanted = (wanted - problem.yields(layout)).clip(min=0)
        return Sawn.of(problem, pattern, layouts)

    def _fits(self, layout: Layout, wanted: Ints) -> bool:
        gives = self.problem.yields(layout)
        fits = (gives - wanted < self.problem.spare(layout)).all()
        return bool(fits and (gives[wanted > 0] > 0).any())

    def _new(self, section: int, length: int, values: Floats, wanted: Ints) -> Layout:
        """Best layout of a length for what is wanted."""
        import numpy as np

        worth = np.maximum(values, 1e-9 * self.builder.values)
        found = self.problem.pricer(section).best(worth, wanted, self.builder.keep)
        return Layout(section, length, found.bars(length))
