"""Bounds made sharper: where a ceiling promises more than the best layout, the exact best."""

from __future__ import annotations

from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.mip import Column, solve_whole
from overbend.stock.patterns import Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["ceiling_of"]

CLOSE = 1e-4
"""Relative gap at which a ceiling is sharp enough."""


def ceiling_of(problem: Problem, section: int, length: int, values: Floats, clock: Clock) -> float:
    """Value that no layout of a length passes.

    Parameters
    ----------
    problem : the problem.
    section, length : places of the section and of its length.
    values : of one piece of each demand; more pieces than wanted have no value.
    clock : when to end; the bound proven by then is returned.
    """
    import numpy as np

    pricer = problem.pricer(section)
    kinds = len(problem.demands)
    columns = [
        Column(-float(values[k]), {k: 1.0}, float(problem.counts[k]), is_whole=False)
        for k in range(kinds)
    ]
    for group in pricer.groups:
        ends = pricer.ends[length, group.kinds]
        for times in group.times[((group.times == 0) | (ends > 0)).all(axis=1)]:
            entries = {kinds: float(group.step)}
            for kind, strips in zip(group.kinds, times * ends, strict=True):
                if strips:
                    entries[int(kind)] = -float(strips)
            columns.append(Column(0.0, entries))
    lower = np.full(kinds + 1, -np.inf)
    upper = np.append(np.zeros(kinds), float(pricer.grid.room))
    return -solve_whole(columns, lower, upper, clock, gap=CLOSE).bound
