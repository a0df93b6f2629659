"""The linear program made whole: boards to be cut as it says, one after the other."""

from __future__ import annotations

from collections.abc import Iterator, Set
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.assemble import assemble
from overbend.stock.build import Sawn
from overbend.stock.generate import enrich
from overbend.stock.master import Answer, Left, Master
from overbend.stock.patterns import Layout, Pattern

if TYPE_CHECKING:
    import numpy as np

__all__ = ["settle"]

ROUNDS = 6
"""Rounds of column generation for what is left."""

CHOICES = 10
"""Boards used in part that are looked at before settling ends."""

BLUR = 0.4
"""Least share of its use by which a board is ranked."""


def settle(
    master: Master,
    rng: np.random.Generator,
    slack: float,
    among: Set[int] | None,
    clock: Clock,
) -> list[Sawn]:
    """Boards to be cut as the linear program says, complete with their layouts.

    What it uses whole is taken, what is left is solved again. Then boards it uses in part are
    taken one by one, as long as what is left hardly gets dearer by that.

    Parameters
    ----------
    master : with the columns generated.
    rng : chance in the order in which boards used in part are taken.
    slack : how much dearer than the linear program's value what is settled may get, its share.
    among : sections of boards worth looking at; None: all.
    clock : when to end.
    """
    problem = master.problem
    left, used = Left.all(problem), dict[Pattern | Layout, int]()
    master.restrict(left)
    answer = master.solve()
    limit = answer.objective * (1 + slack)
    while not clock.over and left.counts.any():
        after, new = left.copy(), list[tuple[Pattern | Layout, int]]()
        for new in _choices(master, answer, left, rng):
            after = left.copy()
            for column, times in new:
                after.take(problem, column, times)
            master.restrict(after)
            trial, _ = enrich(master, after, ROUNDS, among, clock)
            if trial.objective + after.cost <= limit:
                break
        else:
            break
        left, answer = after, trial
        for column, times in new:
            used[column] = used.get(column, 0) + times
    master.restrict(Left.all(problem))
    plan = assemble(problem, list(used.items()))
    return [b for b in plan if len(b.layouts) == sum(problem.lengths_in(b.pattern))]


def _choices(
    master: Master, answer: Answer, left: Left, rng: np.random.Generator
) -> Iterator[list[tuple[Pattern | Layout, int]]]:
    """What may be settled next: all that is used whole, else one of the boards used in part."""
    import numpy as np

    whole_parts = _whole(master, answer, left)
    if whole_parts:
        yield whole_parts
        return
    patterns = list(master.patterns)
    blur = rng.uniform(BLUR, 1.0, len(answer.patterns))
    for n in np.argsort(-answer.patterns * blur, kind="stable")[:CHOICES]:
        if answer.patterns[n] > 1e-6:
            new = _one(master, answer, left, patterns[n])
            if new:
                yield new


def _one(
    master: Master, answer: Answer, left: Left, pattern: Pattern
) -> list[tuple[Pattern | Layout, int]]:
    """A board with layouts that the answer uses most; empty when they give too much."""
    problem = master.problem
    section = problem.boards[pattern.board].section
    after, new = left.copy(), list[tuple[Pattern | Layout, int]]()
    after.take(problem, pattern, 1)
    new.append((pattern, 1))
    shares = answer.layouts.copy()
    layouts = list(master.layouts)[: len(shares)]
    for a, n in enumerate(problem.lengths_in(pattern)):
        waiting = max(0, round(float(left.lengths[problem.starts[section] + a])))
        for _ in range(n - waiting):
            there = [
                k for k, layout in enumerate(layouts)
                if shares[k] > 1e-6 and (layout.section, layout.length) == (section, a)
                and (problem.yields(layout) - after.counts < problem.spare(layout)).all()
            ]  # fmt: skip
            if not there:
                return []
            best = max(there, key=lambda k: shares[k])
            shares[best] -= 1.0
            after.take(problem, layouts[best], 1)
            new.append((layouts[best], 1))
    return new


def _whole(master: Master, answer: Answer, left: Left) -> list[tuple[Pattern | Layout, int]]:
    """Whole parts of the answer, as far as they give nothing that is not wanted."""
    import numpy as np

    problem, new = master.problem, list[tuple[Pattern | Layout, int]]()
    layouts, patterns = list(master.layouts), list(master.patterns)
    counts = left.counts
    for n in np.flatnonzero(answer.layouts >= 1 - 1e-6):
        times, gives = int(answer.layouts[n] + 1e-6), problem.yields(layouts[n])
        spare = problem.spare(layouts[n])
        while times and (times * gives - counts >= spare).any():
            times -= 1
        if times:
            counts = (counts - times * gives).clip(min=0)
            new.append((layouts[n], times))
    for n in np.flatnonzero(answer.patterns >= 1 - 1e-6):
        new.append((patterns[n], int(answer.patterns[n] + 1e-6)))
    return new
