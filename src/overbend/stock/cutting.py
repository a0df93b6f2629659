"""Boards and cuts for a list of strips: least cost, then least wood, then fewest set-ups.

A linear program over patterns, whose columns are generated as they are needed, gives the bound.
Its whole part is kept; for the rest boards are built one by one, taken out and built anew, and
columns are recombined by whole-number programs, until the gap is closed or time is up. Where the
columns that a better plan could have are few, they are listed and the result is proven.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.errors import StockError
from overbend.solver import Cancel, Clock, Progress, Solution, Status, Stop
from overbend.stock.branch import branch
from overbend.stock.build import Builder, Sawn, score
from overbend.stock.colour import stacked
from overbend.stock.direct import Direct, size_of
from overbend.stock.generate import bound_of, generate
from overbend.stock.improve import Search
from overbend.stock.master import Master
from overbend.stock.patterns import Aim, Problem
from overbend.stock.pool import Pool
from overbend.stock.records import Demand, Shop, Stock
from overbend.stock.refuse import Refusal, machine_holds, refusals
from overbend.stock.sawplan import SawPlan, lay_out
from overbend.stock.settle import settle
from overbend.stock.setups import setups_of
from overbend.stock.verify import verify

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["Result", "cut"]

WOOD_SHARE = 0.25
"""Share of the time that saving wood at equal cost may take."""

TRIES = 6
"""Plans built before the search."""

MOST_BARS = 30_000
"""Bar variables up to which a shop is small."""

FEW_BOARDS = 40
"""Boards of a plan up to which the bound is sharpened by whole numbers of boards."""

EQUAL = 1e-6
"""Costs closer than this are equal."""


@dataclass(frozen=True)
class Result:
    """A cutting plan, or why there is none.

    Parameters
    ----------
    plan : boards, cuts, set-ups; None when there is none.
    cost : cost of the boards, its bound and gap.
    wood : wood taken less off-cuts kept [mm3], its bound and gap at that cost.
    refusals : parts that cannot be cut, and what would do.
    holds : what has to be typed before a cutting instruction may be given.
    notes : what the proof rests on, where that is not obvious.
    """

    plan: SawPlan | None
    cost: Solution
    wood: Solution
    refusals: tuple[Refusal, ...] = ()
    holds: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def status(self) -> str:
        """How far the cost is proven, see `Solution`; held when something has to be typed."""
        return "held" if self.holds else self.cost.status


def cut(
    demands: Sequence[Demand],
    supply: Sequence[Stock],
    shop: Shop,
    stop: Stop | None = None,
    seed: int = 0,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Result:
    """Choose boards and cuts: least cost, then least wood, then fewest set-ups.

    Parameters
    ----------
    demands : strips and blanks wanted; names are unique.
    supply : boards of the yard and of the rack; names are unique.
    shop : saw, planing, least sizes of the machines.
    stop : when to end before the proof; None: after 20 s. With a gap of cost above zero no time
        goes into less wood and fewer set-ups.
    seed : of the search's chance; equal seeds give equal plans unless time ends the search.
    progress : told of each better cost.
    cancel : asked now and then; True ends the search with the best so far.

    Returns
    -------
    The plan with its proof. When a part cannot be cut, or a machine's least sizes were not typed,
    there is no plan and the result says which part and what would do. Set-ups are the fewest
    found, not proven.

    Raises
    ------
    StockError
        When two demands or two stocks share a name.

    Examples
    --------
    >>> from overbend.stock import MachineLimits
    >>> saw = MachineLimits("saw", 300.0, 20.0, 3.0)
    >>> strips = [Demand("arch", "ash", 900.0, 45.0, 4.0, 12)]
    >>> plank = Stock("ash 27", "ash", 2000.0, 150.0, 27.0, price=12.0)
    >>> result = cut(strips, [plank], Shop(saw, saw, saw))
    >>> result.status, result.cost.objective, result.plan.bought()
    ('optimal', 12.0, {'ash 27': 1})
    """
    _unique(demands, supply)
    holds = machine_holds(demands, shop)
    if holds:
        return _empty("unknown", holds=holds)
    refused = refusals(demands, supply, shop)
    if refused:
        return _empty("infeasible", refused=refused)
    clock = Clock((stop or Stop()).seconds, cancel)
    run = _Run(tuple(supply), shop, clock, stop or Stop(), seed, progress)
    return run.all(demands)


def _unique(demands: Sequence[Demand], supply: Sequence[Stock]) -> None:
    for what, names in (("demand", [d.name for d in demands]), ("stock", [s.name for s in supply])):
        twice = sorted({n for n in names if names.count(n) > 1})
        if twice:
            raise StockError(f"two of one name: {twice[0]!r}", what, "every name once")


def _empty(
    status: Status, refused: tuple[Refusal, ...] = (), holds: tuple[str, ...] = ()
) -> Result:
    none = Solution(None, 0.0, 0.0, status)
    return Result(None, none, none, refused, holds)


@dataclass(frozen=True)
class _Part:
    """Result for one wood."""

    problem: Problem
    plan: list[Sawn] | None
    cost_bound: float
    wood_bound: float = 0.0
    infeasible: bool = False
    settled: bool = False


class _Run:
    """One call of `cut`: the woods one after the other."""

    def __init__(
        self,
        supply: tuple[Stock, ...],
        shop: Shop,
        clock: Clock,
        stop: Stop,
        seed: int,
        progress: Progress | None,
    ) -> None:
        self.supply, self.shop, self.clock = supply, shop, clock
        self.stop, self.seed, self.progress = stop, seed, progress
        self.done: list[_Part] = []
        self.woods = 0

    def all(self, demands: Sequence[Demand]) -> Result:
        """Solve each wood, put the results together, check the plan."""
        woods = dict.fromkeys(d.wood for d in demands)
        left, self.woods = sum(d.count for d in demands), len(woods)
        for wood in woods:
            own = tuple(d for d in demands if d.wood == wood)
            pieces = sum(d.count for d in own)
            part = self._wood(own, self.clock.part(pieces / left))
            left -= pieces
            if part.plan is None:
                return self._none(part)
            self.done.append(part)
        return self._result(demands)

    def _wood(self, demands: tuple[Demand, ...], clock: Clock) -> _Part:
        import numpy as np

        stock = tuple(s for s in self.supply if s.wood == demands[0].wood)
        problem = Problem(demands, stock, self.shop)
        rng = np.random.default_rng(self.seed)
        part = _least_cost(problem, rng, clock, self.stop, self._told)
        ended = part.plan is None or part.settled or self.stop.gap > 0
        return part if ended else _least_wood(part, rng, clock)

    def _told(self, plan: Sequence[Sawn], bound: float) -> None:
        """Pass on a better cost, with what is settled of other woods; none while one is left."""
        if self.progress is None:
            return
        low = sum(p.cost_bound for p in self.done) + bound
        if len(self.done) < self.woods - 1:
            self.progress(Solution(None, low, self.clock.used, "unknown"))
            return
        cost = sum(b.cost for p in self.done for b in p.plan or ()) + score(plan)[0]
        self.progress(Solution(cost, low, self.clock.used, "feasible"))

    def _none(self, part: _Part) -> Result:
        status: Status = "infeasible" if part.infeasible else "unknown"
        refused = _short(part.problem, self.seed) if part.infeasible else ()
        none = Solution(None, part.cost_bound, self.clock.used, status)
        return Result(None, none, none, refused)

    def _result(self, demands: Sequence[Demand]) -> Result:
        boards = tuple(b for p in self.done for b in lay_out(p.problem, p.plan or ()))
        boards = stacked(boards, demands)
        every = [b for p in self.done for b in p.plan or ()]
        plan = SawPlan(
            boards, setups_of(boards, demands, self.shop), sum(b.cost for b in every),
            sum(b.wood for b in every), sum(d.volume for d in demands),
        )  # fmt: skip
        faults = verify(plan, demands, self.supply, self.shop)
        if faults:
            raise StockError(f"the plan failed its own check: {faults[0]}", "cutting plan")
        cost = self._solution(plan.cost, sum(p.cost_bound for p in self.done))
        wood = self._solution(plan.taken, sum(p.wood_bound for p in self.done))
        exact = all(p.problem.exact for p in self.done)
        return Result(plan, cost, wood, notes=() if exact else (_ROUNDED,))

    def _solution(self, objective: float, bound: float) -> Solution:
        bound = min(bound, objective)
        closed = objective - bound <= EQUAL * max(1.0, abs(objective))
        status: Status = "optimal" if closed else "feasible"
        return Solution(objective, bound, self.clock.used, status)


_ROUNDED = (
    "Sizes without a common measure were rounded up to a fine grid; the bound holds for those."
)


def _least_cost(
    problem: Problem,
    rng: np.random.Generator,
    clock: Clock,
    stop: Stop,
    told: Callable[[Sequence[Sawn], float], None],
) -> _Part:
    """Least cost, by search or, for small shops, all three aims by one program."""
    aim, time = Aim(), clock.part(1 - WOOD_SHARE)
    master = Master(problem, aim)
    answer, _ = generate(master, time.part(0.5))
    bound = max(0.0, bound_of(master, answer, time.part(0.3)))
    if bound > _dearest(problem):
        return _Part(problem, None, bound, infeasible=True)
    builder, pool = Builder(problem, answer, aim), Pool(problem)
    search = Search(problem, aim, builder, rng, lambda p: told(p, bound), pool)
    settled = settle(master, time)
    pool.add(master.columns)
    search.first(settled, master, TRIES, time)
    cost = score(search.best)[0] if search.best else math.inf
    if EQUAL < cost - bound < math.inf and len(search.best or ()) <= FEW_BOARDS:
        bound = max(bound, branch(master, cost, time.part(0.3)))
    direct = _direct(problem, search, bound, clock, stop, told)
    if direct is not None or search.best is None:
        return direct or _Part(problem, None, bound)

    search.run(time, lambda: _near(search.best, bound, stop))
    return _Part(problem, search.best, bound)


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
) -> _Part | None:
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
        return _Part(problem, None, bound, infeasible=True) if first.optimal else None
    low, best = max(bound, first.bound), search.best
    assert best is not None
    told(best, low)
    if first.plan is None or clock.over:
        return _Part(problem, best, low)
    low_wood = _wood_bound(problem, best, clock.part(0.3))[1]
    second = program.least(program.wood(), clock.part(0.5), low_wood)
    third = program.least(program.setups(), clock)
    plan = third.plan or second.plan or best
    return _Part(problem, plan, low, max(low_wood, second.bound), settled=True)


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


def _least_wood(part: _Part, rng: np.random.Generator, clock: Clock) -> _Part:
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
    return _Part(problem, search.best, part.cost_bound, bound)


def _short(problem: Problem, seed: int) -> tuple[Refusal, ...]:
    """Pieces the boards at hand cannot give together, and boards that would do."""
    from dataclasses import replace

    more = tuple(replace(s, count=None, defects=()) for s in problem.supply)
    result = cut(problem.demands, more, problem.shop, Stop(3.0, 0.05), seed)
    names = ", ".join(d.name for d in problem.demands)
    wood = problem.demands[0].wood
    why = f"the {wood} boards at hand do not suffice for all of: {names}"
    if result.plan is None:
        return (Refusal(names, why, f"Add {wood} boards."),)
    have = {s.name: s.count for s in problem.supply}
    bought = result.plan.bought()
    lacking = {n: c - (have[n] or 0) for n, c in bought.items() if have[n] is not None}
    todo = ", ".join(f"{n} more of {name}" for name, n in lacking.items() if n > 0)
    whole_boards = ", ".join(f"{n} of {name}" for name, n in bought.items())
    would = f"clear of defects: {todo}" if todo else f"without defects: {whole_boards}"
    return (Refusal(names, why, f"This would do, {would}."),)
