"""Column generation: new patterns as long as they make the plan cheaper, and the proven bound."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.ceiling import ceiling_of
from overbend.stock.master import Answer, Left, Master
from overbend.stock.patterns import Aim, Layout, Pattern, Problem
from overbend.stock.pricing import Layouts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Priced", "bound_of", "enrich", "generate", "price"]

TOL = 1e-7

SHARP = 1e-6
"""Relative excess of a ceiling that does not matter."""

LIMIT_ROUNDS = 400


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

    def values(self, section: int) -> Floats:
        """Value of the best layout of each of a section's lengths."""
        import numpy as np

        found = self.found[section]
        return np.zeros(0) if found is None else found.values

    def layout(self, section: int, length: int) -> Layout:
        """Best layout of one of a section's lengths."""
        found = self.found[section]
        assert found is not None
        return Layout(section, length, found.bars(length))


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
        for s, p in enumerate(problem.pricers)
    )
    return Priced(found, tuple(_boards(problem, found, keep, floors)))


def _boards(
    problem: Problem,
    found: Sequence[Layouts | None],
    keep: float,
    floors: Sequence[Floats] | None,
) -> Iterator[tuple[float, Pattern]]:
    """Value and best pattern of each board whose section was looked at."""
    cuts: dict[int, dict[int, tuple[float, tuple[int, ...]]]] = {}
    for s, cutter in problem.cutters.items():
        layouts = found[s]
        if layouts is not None:
            value = layouts.values if floors is None else floors[s].clip(min=layouts.values)
            cuts[s] = cutter.best(value, keep)
    for b, board in enumerate(problem.boards):
        if found[board.section] is not None:
            parts = [cuts[board.section][n] for _, n in board.spans]
            yield sum(v for v, _ in parts), Pattern(b, tuple(cut for _, cut in parts))


def bound_of(master: Master, answer: Answer, clock: Clock, best: float = math.inf) -> float:
    """Bound that the duals prove, by Lagrange; scaled by Farley where boards have no limit.

    Parameters
    ----------
    master : the linear program.
    answer : of it.
    clock : the bound is sharpened until then.
    best : no plan above this value matters.

    Returns
    -------
    No plan below `best` is below this.

    References
    ----------
    Farley, A. A. (1990), A note on bounding a class of linear programming problems, including
    cutting stock problems, Operations Research 38, 922-923.
    """
    import numpy as np

    problem, aim = master.problem, master.aim
    values = _ceilings(problem, answer, aim, clock)
    limit = aim.cost_limit if aim.cost_limit is not None else best
    prices = (problem.volumes if aim.wood else problem.costs) - answer.cost * problem.costs
    most = np.minimum(master.most, problem.counts.sum())
    if limit < math.inf:
        affordable = np.floor(limit / np.maximum(problem.costs, 1e-12) + 1e-9)
        most = np.minimum(most, np.where(problem.costs > 0, affordable, np.inf))
    limit = aim.cost_limit if aim.cost_limit is not None else 0.0
    bounds = []
    free = np.isinf(master.most) & (values > prices) & (not aim.wood)
    for scale in {1.0, min(1.0, float((prices[free] / values[free]).min(initial=1.0)))}:
        over = prices - scale * values
        total = scale * float(answer.demand @ problem.counts) + answer.cost * limit
        bounds.append(total + float((np.where(over < 0, most, master.fewest) * over).sum()))
    return max(bounds)


def _ceilings(problem: Problem, answer: Answer, aim: Aim, clock: Clock) -> Floats:
    """Values that no pattern of each board passes, sharpened where the bound depends on them."""
    import numpy as np

    keep = 1.0 if aim.wood else 0.0
    prices = answer.prices(problem, aim)
    real = price(problem, answer.demand, keep=keep)
    top = price(problem, answer.demand, keep=keep, ceiling=True)
    lengths, known = [top.values(s) for s in range(len(top.found))], set[tuple[int, int]]()
    while True:
        values = np.array([v for v, _ in top.boards])
        worst = int(np.argmax(values - prices * (1 + SHARP)))
        pattern = top.boards[worst][1]
        section = problem.boards[pattern.board].section
        vague = [
            a
            for a, n in enumerate(problem.lengths_in(pattern))
            if n and lengths[section][a] > real.values(section)[a] * (1 + SHARP)
            if (section, a) not in known
        ]
        sharp = values[worst] <= prices[worst] * (1 + SHARP)
        if sharp or not vague or keep or clock.over:
            return values
        for a in vague:
            best = ceiling_of(problem, section, a, answer.demand, clock.part(0.3))
            known.add((section, a))
            lengths[section][a] = min(lengths[section][a], best)
        top = _again(problem, top)


def _again(problem: Problem, priced: Priced) -> Priced:
    """Patterns for changed values of the lengths."""
    return Priced(priced.found, tuple(_boards(problem, priced.found, 0.0, None)))


def _floors(problem: Problem, answer: Answer, left: Left) -> list[Floats]:
    """Value of lengths that are used but not given yet."""
    import numpy as np

    worth = np.where(left.lengths > 0, answer.lengths, 0.0)
    return [worth[a:b] for a, b in zip(problem.starts, problem.starts[1:], strict=False)]


def _fresh(
    master: Master, answer: Answer, priced: Priced, left: Left
) -> Iterator[Pattern | Layout]:
    """Columns that would make the answer better: boards with what they use, then layouts."""
    problem = master.problem
    prices = answer.prices(problem, master.aim)
    for value, pattern in priced.boards:
        needed = float(prices[pattern.board])
        if value > needed + TOL * max(1.0, abs(needed)):
            yield pattern
            section = problem.boards[pattern.board].section
            for a, n in enumerate(problem.lengths_in(pattern)):
                if n:
                    yield priced.layout(section, a)
    for s, layouts in enumerate(priced.found):
        for a, value in enumerate(layouts.values if layouts is not None else ()):
            place = problem.starts[s] + a
            dual = float(answer.lengths[place])
            wanted = dual > TOL or left.lengths[place] < 0
            if wanted and value > dual * (1 + 1e-6) + TOL:
                yield priced.layout(s, a)


def enrich(
    master: Master, left: Left, rounds: int, among: Set[int] | None, clock: Clock
) -> tuple[Answer, bool]:
    """Add columns that make the answer better, for some rounds or until there are none.

    Returns
    -------
    The answer, and whether no better column exists.
    """
    keep = 1.0 if master.aim.wood else 0.0
    answer = master.solve()
    for _ in range(rounds):
        floors = _floors(master.problem, answer, left)
        priced = price(
            master.problem, answer.demand, keep=keep, counts=left.counts, floors=floors, among=among
        )
        if not master.add(tuple(_fresh(master, answer, priced, left))):
            return answer, True
        answer = master.solve()
        if clock.over:
            break
    return answer, False


def generate(master: Master, clock: Clock) -> tuple[Answer, bool]:
    """Add columns until none makes the plan better, or time is up.

    Parameters
    ----------
    master : the linear program, with or without columns.
    clock : when to end.

    Returns
    -------
    The answer, and whether no better column exists.
    """
    return enrich(master, Left.all(master.problem), LIMIT_ROUNDS, None, clock)
