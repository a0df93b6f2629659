"""Whole-number solutions: by diving, or by listing every pattern that a better plan can hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.mip import Column, solve_whole
from overbend.stock.sticks.columns import Patterns, relax
from overbend.stock.sticks.knapsack import suffix_values
from overbend.stock.sticks.record import Sticks
from overbend.stock.sticks.simple import used_patterns

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Plan", "dive", "from_patterns", "listed"]

Plan = list[tuple["Ints", int]]
"""Patterns and how often each is cut."""

SLACK = 1e-4
"""By which rows are eased: whole numbers do not heed it, but "none" is then no rounding error."""

MOST_STEPS = 400_000
MOST_CELLS = 15_000_000


def dive(
    patterns: Patterns, sticks: Sticks, most: int, rng: np.random.Generator | None, clock: Clock
) -> Plan | None:
    """Round the linear program's patterns, generating new ones for what is left.

    Parameters
    ----------
    patterns : generated for the whole instance; they get more.
    sticks : the instance.
    most : sticks the plan may take.
    rng : chance in the choice of what is rounded; None: the largest part.
    clock : when to give up.

    Returns
    -------
    The plan; None when more sticks would be needed on this way.
    """
    import numpy as np

    left, used = sticks.wanted, 0
    plan: Plan = []
    while left.any():
        answer = relax(patterns, sticks, left, clock, above=most - used + 1e-6)
        if clock.over or used + answer.bound > most + 1e-6:
            return None
        new = _rounded(patterns, answer.times, left)
        if not new:
            share = 1.0 if rng is None else rng.uniform(0.8, 1.0, len(answer.times))
            largest = patterns.all[int(np.argmax(answer.times * share))]
            new = [(np.minimum(largest, left), 1)]
        for pattern, times in new:
            left = left - times * pattern
            used += times
        plan += new
    return plan if used <= most else None


def _rounded(patterns: Patterns, times: Floats, left: Ints) -> Plan:
    """Whole parts of the answer that hold no more than is left."""
    import numpy as np

    found = []
    for n in np.flatnonzero(times >= 1 - 1e-6):
        pattern = patterns.all[n]
        fits = int((left[pattern > 0] // pattern[pattern > 0]).min())
        whole = min(int(times[n] + 1e-6), fits)
        if whole:
            found.append((pattern, whole))
            left = left - whole * pattern
    return found


def listed(sticks: Sticks, values: Ints, least: int, most: int) -> list[Ints] | None:
    """Every pattern worth at least so much; None when there are too many.

    Parameters
    ----------
    sticks : the instance.
    values : of one piece of each length, in whole units.
    least : value of a pattern.
    most : patterns that are not too many.
    """
    import numpy as np

    count = len(sticks.lengths)
    if (count + 1) * (sticks.stock + 1) > MOST_CELLS:
        return None
    rest = suffix_values(sticks.sizes, sticks.wanted, sticks.stock, values)
    worth = [int(v) for v in values]
    found: list[Ints] = []
    open_: list[tuple[int, int, int, tuple[tuple[int, int], ...]]] = [(0, sticks.stock, 0, ())]
    steps = 0
    while open_:
        k, room, value, taken = open_.pop()
        steps += 1
        if len(found) > most or steps > MOST_STEPS:
            return None
        while k < count and sticks.lengths[k] > room:
            k += 1
        if k == count:
            pattern = np.zeros(count, dtype=np.int64)
            for place, n in taken:
                pattern[place] = n
            found.append(pattern)
            continue
        for n in range(min(sticks.counts[k], room // sticks.lengths[k]) + 1):
            now, left = value + n * worth[k], room - n * sticks.lengths[k]
            if now + rest[k + 1, left] >= least:
                open_.append((k + 1, left, now, (*taken, (k, n)) if n else taken))
    return found


def from_patterns(
    sticks: Sticks, patterns: list[Ints], most: int, clock: Clock
) -> tuple[Plan | None, bool]:
    """Plan of at most so many sticks from given patterns.

    Returns
    -------
    The plan, if one was found; and, without a plan, whether it is proven that there is none.
    """
    import numpy as np

    count = len(sticks.lengths)
    columns = [
        Column(0.0, {**{int(k): float(p[k]) for k in np.flatnonzero(p)}, count: 1.0})
        for p in patterns
    ]
    lower = np.append(sticks.wanted - SLACK, -np.inf)
    upper = np.append(np.full(count, np.inf), most + SLACK)
    found = solve_whole(columns, lower, upper, clock)
    if found.counts is None:
        return None, found.optimal
    plan = _exactly(sticks, patterns, found.counts)
    return plan if sum(times for _, times in plan) <= most else None, False


def _exactly(sticks: Sticks, patterns: list[Ints], times: Ints) -> Plan:
    """The plan without pieces that are not wanted; what is lacking is put on more sticks."""
    left, plan = sticks.wanted, list[tuple["Ints", int]]()
    for pattern, n in zip(patterns, times, strict=True):
        whole = min(int(n), int((left[pattern > 0] // pattern[pattern > 0]).min()))
        if whole:
            plan.append((pattern, whole))
            left = left - whole * pattern
        for _ in range(int(n) - whole):
            cut = pattern.clip(max=left)
            if cut.any():
                plan.append((cut, 1))
                left = left - cut
    return plan + used_patterns(sticks.sizes, sticks.stock, left)
