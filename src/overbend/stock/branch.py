"""A better bound for small shops: how many boards of each kind, in whole numbers.

The cost depends on nothing but the boards' numbers. Where the linear program takes part of a board,
two questions are asked instead: with so many boards of the kind at most, or with one more at least?
The bound is the least cost that no answer excludes.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING

from overbend.solver import Clock
from overbend.stock.generate import bound_of, enrich
from overbend.stock.master import Left, Master

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["branch"]

ROUNDS = 100
"""Most column generation rounds in one question."""

WHOLE = 1e-6


@dataclass(frozen=True)
class _Question:
    """Boards of each kind between fewest and most: bound, and what the linear program takes."""

    bound: float
    numbers: Floats
    fewest: Floats
    most: Floats


def branch(master: Master, best: float, clock: Clock) -> float:
    """Ask until whole numbers of boards are found that no bound excludes, or time is up.

    Parameters
    ----------
    master : the linear program for least cost, with its columns; it gets more.
    best : cost of the best plan so far; inf when there is none.
    clock : when to end.

    Returns
    -------
    The bound: no plan costs less.
    """
    problem, order = master.problem, count()
    allowed = master.fewest, master.most
    first = _asked(master, *allowed, best, clock)
    heap = [(first.bound, next(order), first)]
    try:
        while heap:
            low, _, question = heapq.heappop(heap)
            if low >= best - WHOLE:
                break
            kind = _broken(question.numbers, problem.costs)
            if kind is None or clock.over:
                return low
            for fewest, most in _split(question, kind):
                new = _asked(master, fewest, most, best, clock)
                bound = max(low, new.bound)
                if bound < best - WHOLE:
                    heapq.heappush(heap, (bound, next(order), new))
        return best
    finally:
        master.fewest, master.most = allowed
        master.restrict(Left.all(problem))


def _asked(master: Master, fewest: Floats, most: Floats, best: float, clock: Clock) -> _Question:
    import numpy as np

    problem, left = master.problem, Left.all(master.problem)
    master.fewest, master.most = fewest, most
    master.restrict(left)
    answer, _ = enrich(master, left, ROUNDS, None, clock)
    numbers = np.zeros(len(problem.boards))
    for pattern, times in zip(master.patterns, answer.patterns, strict=True):
        numbers[pattern.board] += times
    low = bound_of(master, answer, clock.part(0.05), best)
    return _Question(low, numbers, fewest, most)


def _broken(numbers: Floats, costs: Floats) -> int | None:
    """Kind of board taken in part, the dearest part first; None when all are whole."""
    import numpy as np

    part = np.abs(numbers - np.rint(numbers))
    if part.max(initial=0.0) < WHOLE:
        return None
    return int(np.argmax(np.where(part < WHOLE, -1.0, part * costs)))


def _split(question: _Question, kind: int) -> Iterator[tuple[Floats, Floats]]:
    import numpy as np

    most, fewest = question.most.copy(), question.fewest.copy()
    most[kind] = np.floor(question.numbers[kind])
    fewest[kind] = most[kind] + 1
    yield question.fewest, most
    yield fewest, question.most
