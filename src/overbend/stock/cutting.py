"""Boards and cuts for a list of strips: least cost, then least wood, then fewest set-ups.

A linear program over patterns, whose columns are generated as they are needed, gives the bound.
Its whole part is kept; for the rest boards are built one by one, then taken out and cut anew, until
the gap is closed or time is up. Small shops are proven by one whole-number program. For many strips
other processes search too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from overbend.errors import StockError
from overbend.solver import Cancel, Clock, Progress, Solution, Status, Stop
from overbend.stock.beside import beside
from overbend.stock.build import Sawn, score
from overbend.stock.colour import stacked
from overbend.stock.least import EQUAL, Part, least_cost, least_wood
from overbend.stock.patterns import Problem
from overbend.stock.records import Demand, Shop, Stock
from overbend.stock.refuse import Refusal, machine_holds, refusals
from overbend.stock.sawplan import SawPlan, lay_out
from overbend.stock.setups import setups_of
from overbend.stock.verify import verify

__all__ = ["Result", "cut"]


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
    seed : of the search's chance; equal seeds give equal plans unless time ends the search or,
        with 300 pieces or more of one wood on several cores, other processes search too.
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
    holds = machine_holds(demands, shop, supply=supply)
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
        self.done: list[Part] = []
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

    def _wood(self, demands: tuple[Demand, ...], clock: Clock) -> Part:
        import numpy as np

        stock = tuple(s for s in self.supply if s.wood == demands[0].wood)
        problem = Problem(demands, stock, self.shop)
        rng = np.random.default_rng(self.seed)
        with beside(problem, clock, self.seed) as others:
            part = least_cost(problem, rng, clock, self.stop, self._told, others)
        ended = part.plan is None or part.settled or self.stop.gap > 0
        return part if ended else least_wood(part, rng, clock)

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

    def _none(self, part: Part) -> Result:
        status: Status = "infeasible" if part.infeasible else "unknown"
        refused = _short(part.problem, self.seed) if part.infeasible else ()
        none = Solution(None, part.cost_bound, self.clock.used, status)
        return Result(None, none, none, refused)

    def _result(self, demands: Sequence[Demand]) -> Result:
        boards = tuple(b for p in self.done for b in lay_out(p.problem, p.plan or ()))
        boards = stacked(boards, demands)
        every = [b for p in self.done for b in p.plan or ()]
        plan = SawPlan(
            boards, setups_of(boards, demands, self.supply, self.shop),
            sum(b.cost for b in every), sum(b.wood for b in every),
            sum(d.volume for d in demands),
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
