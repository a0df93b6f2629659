"""Least cost for one wood, then least wood at that cost."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock, Stop
from overbend.stock.branch import branch
from overbend.stock.build import Builder, Sawn, score
from overbend.stock.direct import Direct, size_of
from overbend.stock.generate import bound_of, generate
from overbend.stock.improve import Search
from overbend.stock.master import Master
from overbend.stock.patterns import Aim, Problem
from overbend.stock.pool import Pool
from overbend.stock.settle import settle

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["EQUAL", "Part", "least_cost", "least_wood"]

WOOD_SHARE = 0.25
"""Share of the time that saving wood at equal cost may take."""

LAST_SHARE = 0.05
"""That share where the cost of many boards is not proven: less cost comes first."""

TRIES = 6
"""Plans built before the search."""

SLACK = 0.007
"""How much dearer than the linear program's value settling may get, its share."""

SLACKS = (0.002, 0.01)
"""The same where a plan is begun anew: least and most."""

ANEW_SHARE = 0.5
"""Share of the time in which plans of many boards are begun anew."""

MOST_BARS = 30_000
"""Bar variables up to which a shop is small."""

FEW_BOARDS = 40
"""Boards of a plan up to which the bound is sharpened by whole numbers of boards."""

EQUAL = 1e-6
"""Costs closer than this are equal."""


@dataclass(frozen=True)
class Part:
    """Result for one wood."""

    problem: Problem
    plan: list[Sawn] | None
    cost_bound: float
    wood_bound: float = 0.0
    infeasible: bool = False
    settled: bool = False


def least_cost(
    problem: Problem,
    rng: np.random.Generator,
    clock: Clock,
    stop: Stop,
    told: Callable[[Sequence[Sawn], float], None],
    others: Callable[[], Iterable[list[Sawn]]] = tuple,
    anew: float = ANEW_SHARE,
) -> Part:
    """Least cost, by search or, for small shops, all three aims by one program.

    Parameters
    ----------
    problem : the problem.
    rng : chance of the search.
    clock : of cost and wood together.
    stop : how near to its bound the cost has to be.
    told : called with each better plan and the bound.
    others : plans that other searches found since it was asked last.
    anew : share of the time in which plans of many boards are begun anew.
    """
    aim, time = Aim(), clock.part(1 - WOOD_SHARE)
    master = Master(problem, aim)
    answer, _ = generate(master, time.part(0.5))
    bound = max(0.0, bound_of(master, answer, time.part(0.3)))
    if bound > _dearest(problem):
        return Part(problem, None, bound, infeasible=True)
    builder, pool = Builder(problem, answer, aim), Pool(problem)
    search = Search(problem, aim, builder, rng, lambda p: told(p, bound), pool)
    settled = settle(master, rng, SLACK, None, time)
    pool.add(master.columns)
    search.first(settled, master, TRIES, time)
    if _few(search.best) and not _near(search.best, bound, Stop()):
        bound = max(bound, branch(master, score(search.best or ())[0], time.part(0.3)))
    direct = _direct(problem, search, bound, clock, stop, told)
    if direct is not None or search.best is None:
        return direct or Part(problem, None, bound)

    def done() -> bool:
        for plan in others():
            search.join(plan)
        return _near(search.best, bound, stop)

    if not _few(search.best):
        time = clock.part(1 - LAST_SHARE)
        _begin_anew(search, master, time.part(anew), done)
    search.run(time, done)
    done()  # what others found during the last turn
    return Part(problem, search.best, bound)


def _begin_anew(search: Search, master: Master, clock: Clock, done: Callable[[], bool]) -> None:
    """Settle and build again and again: where chance leads a plan early matters most."""
    rng, builder = search.rng, search.builder
    while not clock.over and not done():
        settled = settle(master, rng, float(rng.uniform(*SLACKS)), builder.among, clock)
        search.pool.add(master.columns)
        search.first(settled, master, 1, clock)


def _few(plan: Sequence[Sawn] | None) -> bool:
    return plan is not None and len(plan) <= FEW_BOARDS


def _near(plan: Sequence[Sawn] | None, bound: float, stop: Stop) -> bool:
    """Whether a plan's cost is as near to its bound as is asked for."""
    cost = score(plan)[0] if plan else math.inf
    return cost - bound <= max(EQUAL, stop.gap * cost)


def _dearest(problem: Problem) -> float:
    """Cost that no plan passes: as many boards as pieces, or all there are."""
    import numpy as np

    most = np.minimum(problem.limits, float(problem.counts.sum()))
    return float(most @ problem.costs) + EQUAL


def _direct(
    problem: Problem,
    search: Search,
    bound: float,
    clock: Clock,
    stop: Stop,
    told: Callable[[Sequence[Sawn], float], None],
) -> Part | None:
    """The three aims by one program, when it is small; None when it is not or found nothing."""
    if stop.gap > 0 and _near(search.best, bound, stop):
        return None
    copies = _copies(problem, search.best)
    if size_of(problem, problem.counts, copies, MOST_BARS) > MOST_BARS:
        return None
    program = Direct(problem, problem.counts, copies)
    if search.best is not None:
        program.start(search.best)
    first = program.least(program.cost(), clock.part(0.5), bound, gap=stop.gap)
    if first.plan is not None:
        search.offer(first.plan)
    elif search.best is None:
        return Part(problem, None, bound, infeasible=True) if first.optimal else None
    low, best = max(bound, first.bound), search.best
    assert best is not None
    told(best, low)
    if first.plan is None or clock.over:
        return Part(problem, best, low)
    low_wood = _wood_bound(problem, best, clock.part(0.3))[1]
    second = program.least(program.wood(), clock.part(0.5), low_wood)
    third = program.least(program.setups(), clock)
    plan = third.plan or second.plan or best
    return Part(problem, plan, low, max(low_wood, second.bound), settled=True)


def _copies(problem: Problem, best: Sequence[Sawn] | None) -> Ints:
    """Boards of each kind that a better plan may have."""
    import numpy as np

    cost = score(best)[0] if best else math.inf
    with np.errstate(divide="ignore", invalid="ignore"):
        dear = np.where(problem.costs > 0, cost / problem.costs + EQUAL, np.inf)
    copies = np.minimum(np.minimum(problem.limits, np.floor(dear)), problem.counts.sum())
    return np.asarray(copies, dtype=np.int64)


def _wood_bound(problem: Problem, plan: Sequence[Sawn], clock: Clock) -> tuple[Master, float]:
    """Columns for less wood at a plan's cost, and the bound of the wood."""
    aim = Aim(wood=True, cost_limit=sum(b.cost for b in plan))
    master = Master(problem, aim)
    master.add(c for board in plan for c in board.columns)
    answer, _ = generate(master, clock.part(0.7))
    return master, max(0.0, bound_of(master, answer, clock))


def least_wood(part: Part, rng: np.random.Generator, clock: Clock) -> Part:
    """Less wood at the same cost."""
    assert part.plan is not None
    problem, share = part.problem, clock.seconds * WOOD_SHARE
    time = clock.part(min(1.0, share / max(clock.left, 1e-9)))
    master, bound = _wood_bound(problem, part.plan, time.part(0.4))
    builder = Builder(problem, master.solve(), master.aim)
    pool = Pool(problem)
    pool.add(master.columns)
    search = Search(problem, master.aim, builder, rng, lambda _: None, pool, part.plan)
    search.run(time, lambda: score(search.best or ())[1] <= bound * (1 + EQUAL))
    return Part(problem, search.best, part.cost_bound, bound)
