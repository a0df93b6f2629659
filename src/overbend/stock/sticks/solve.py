"""Fewest sticks, with proof.

The linear program's bound, rounded up, is nearly always the answer. Sticks filled one after the
other nearly always take one more at most. Three ways then look for a plan of so many sticks as the
bound says, and take turns: diving; listing every pattern that such a plan can hold, when they are
few, which finds the plan or proves that one more stick is needed; and diving with chance.

References
----------
Gilmore, P. C., Gomory, R. E. (1961), A linear programming approach to the cutting-stock problem,
Operations Research 9, 849-859. Valerio de Carvalho, J. M. (2002), LP models for bin packing and
cutting stock problems, European Journal of Operational Research 141, 253-273. Belov, G.,
Scheithauer, G. (2006), A branch-and-cut-and-price algorithm for one-dimensional stock cutting and
two-dimensional two-stage cutting, European Journal of Operational Research 171, 85-106.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Cancel, Clock, Progress, Solution, Status
from overbend.stock.sticks.columns import Patterns, exact_values, relax
from overbend.stock.sticks.fill import Filling
from overbend.stock.sticks.record import Sticks
from overbend.stock.sticks.simple import used_patterns
from overbend.stock.sticks.whole import Plan, dive, from_patterns, listed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["StickPlan", "solve_sticks"]

FEW = (6_000, 25_000)
"""Patterns that are few enough to be listed, at first and at last."""

FIRST_DIVES, LATER_DIVES = 3, 10

FILLINGS = 6
"""Plans filled stick by stick before the linear program."""


@dataclass(frozen=True)
class StickPlan:
    """Patterns to cut.

    Parameters
    ----------
    patterns : lengths of one stick, longest first, and how often.
    solution : number of sticks, bound, runtime, status.
    """

    patterns: tuple[tuple[tuple[int, ...], int], ...]
    solution: Solution


def solve_sticks(
    sticks: Sticks,
    seconds: float = 10.0,
    seed: int = 0,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> StickPlan:
    """Fewest sticks that give all lengths.

    Parameters
    ----------
    sticks : the instance.
    seconds : time it may take.
    seed : of the search's chance.
    progress : told of each better plan.
    cancel : asked now and then; True ends the search with the best so far.

    Returns
    -------
    The plan and its proof; without patterns and infeasible when a length is longer than a stick.

    Examples
    --------
    >>> plan = solve_sticks(Sticks.of("rails", 10, [(6, 2), (4, 1), (3, 3)]))
    >>> plan.solution.objective, plan.solution.status
    (3, 'optimal')
    """
    import numpy as np

    clock = Clock(seconds, cancel)
    if sticks.lengths[0] > sticks.stock:
        return StickPlan((), Solution(None, 0.0, clock.used, "infeasible"))
    search = _Search(sticks, clock, np.random.default_rng(seed), progress)
    search.run()
    status: Status = "optimal" if search.best == search.bound else "feasible"
    solution = Solution(search.best, search.bound, clock.used, status)
    return StickPlan(_named(sticks, search.plan), solution)


def _named(sticks: Sticks, plan: Plan) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Equal sticks together, each as its lengths."""
    together: dict[tuple[int, ...], int] = {}
    for pattern, times in plan:
        cut = tuple(n for n, c in zip(sticks.lengths, pattern, strict=True) for _ in range(int(c)))
        together[cut] = together.get(cut, 0) + times
    return tuple(together.items())


class _Search:
    """A search for one instance: the best plan and the bound so far."""

    def __init__(
        self, sticks: Sticks, clock: Clock, rng: np.random.Generator, told: Progress | None
    ) -> None:
        self.sticks, self.clock, self.rng, self.told = sticks, clock, rng, told
        self.plan: Plan = []
        self.bound = sticks.fewest
        self.filling = Filling(sticks, rng)
        self._keep(used_patterns(sticks.sizes, sticks.stock, sticks.wanted))

    @property
    def best(self) -> int:
        """Sticks of the best plan."""
        return sum(times for _, times in self.plan)

    @property
    def ended(self) -> bool:
        """Whether the best is proven, or time is up."""
        return self.best <= self.bound or self.clock.over

    def run(self) -> None:
        """Close the gap, or use up the time."""
        patterns = Patterns(self.sticks.wanted)
        self._fill(patterns, FILLINGS, self.clock.part(0.3))
        if self.ended:
            return
        answer = relax(patterns, self.sticks, self.sticks.wanted, self.clock.part(0.7))
        values, least = exact_values(self.sticks, answer.values)
        self.bound = max(self.bound, -(-int(values @ self.sticks.wanted) // least))
        self._dives(patterns, 1, chance=False)
        for few in FEW:
            while not self.ended and self._list(values, least, few):
                pass
            self._dives(patterns, FIRST_DIVES, chance=True)
        while not self.ended:
            self._dives(patterns, LATER_DIVES, chance=True)
            self._fill(patterns, 1, self.clock)

    def _keep(self, plan: Plan) -> None:
        """Keep a plan of fewer sticks, and tell of it."""
        if not self.plan or sum(times for _, times in plan) < self.best:
            self.plan = plan
            if self.told is not None:
                self.told(Solution(self.best, self.bound, self.clock.used, "feasible"))

    def _fill(self, patterns: Patterns, count: int, clock: Clock) -> None:
        """Fill sticks one after the other; the patterns serve the linear program too."""
        for _ in range(count):
            if self.ended or clock.over:
                return
            plan = self.filling.plan(self.sticks.wanted, clock)
            self._keep(plan)
            for pattern, _ in plan:
                patterns.add(pattern)

    def _dives(self, patterns: Patterns, count: int, *, chance: bool) -> None:
        """Dive for fewer sticks, for the bound's number first."""
        for n in range(count):
            if self.ended:
                return
            most = self.bound if n % 2 == 0 else self.best - 1
            rng = self.rng if chance else None
            plan = dive(patterns, self.sticks, most, rng, self.clock)
            if plan is not None:
                self._keep(plan)

    def _list(self, values: Ints, most: int, few: int) -> bool:
        """List the patterns of a plan of the bound's number; whether something came of it.

        The others of its sticks are worth `most` each at most, so that each is worth `least`.
        """
        least = int(values @ self.sticks.wanted) - (self.bound - 1) * most
        patterns = listed(self.sticks, values, least, few)
        if patterns is None:
            return False
        plan, none = from_patterns(self.sticks, patterns, self.bound, self.clock.part(0.7))
        if plan is not None:
            self._keep(plan)
        elif none:
            self.bound += 1
        return plan is not None or none
