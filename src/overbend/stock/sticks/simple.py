"""Plain ways to compare with: first fit decreasing, and one program for everything."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from overbend.solver import Clock, Solution, Status
from overbend.stock.sticks.record import Sticks

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["direct_program", "first_fit", "used_patterns"]


def used_patterns(sizes: Ints, stock: int, wanted: Ints) -> list[tuple[Ints, int]]:
    """First fit decreasing, equal sticks together: counts of each length, how often.

    Parameters
    ----------
    sizes : lengths, the longest first.
    stock : length of a stick.
    wanted : how many of each.
    """
    import numpy as np

    left, found = wanted.copy(), []
    while left.any():
        room, pattern = stock, np.zeros_like(left)
        for k in np.flatnonzero(left):
            pattern[k] = min(int(left[k]), room // int(sizes[k]))
            room -= int(pattern[k]) * int(sizes[k])
        times = int((left[pattern > 0] // pattern[pattern > 0]).min())
        found.append((pattern, times))
        left -= times * pattern
    return found


def first_fit(sticks: Sticks) -> int:
    """Sticks that first fit decreasing takes.

    Examples
    --------
    >>> first_fit(Sticks.of("rails", 10, [(6, 2), (4, 1), (3, 3)]))
    3
    """
    return sum(n for _, n in used_patterns(sticks.sizes, sticks.stock, sticks.wanted))


def direct_program(sticks: Sticks, seconds: float) -> Solution:
    """Every stick and length a variable of CP-SAT, on two cores.

    Parameters
    ----------
    sticks : the instance.
    seconds : time it may take.
    """
    from ortools.sat.python import cp_model

    clock, most = Clock(seconds), first_fit(sticks)
    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(most)]
    lengths = range(len(sticks.lengths))
    cut = [
        [model.new_int_var(0, min(c, sticks.stock // n), "") for n, c in zip(sticks.lengths,
         sticks.counts, strict=True)]
        for _ in used
    ]  # fmt: skip
    for stick, taken in zip(cut, used, strict=True):
        model.add(sum(sticks.lengths[k] * stick[k] for k in lengths) <= sticks.stock * taken)
    for k in lengths:
        model.add(sum(stick[k] for stick in cut) == sticks.counts[k])
    for one, after in pairwise(used):
        model.add_implication(after, one)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = max(0.01, clock.left)
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solution(None, sticks.fewest, clock.used, "unknown")
    proven: Status = "optimal" if status == cp_model.OPTIMAL else "feasible"
    bound = round(solver.best_objective_bound)
    return Solution(round(solver.objective_value), bound, clock.used, proven)
