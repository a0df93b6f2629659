"""Time as a quiet machine would take it, so that a bound means the same on a slow or busy one."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Callable

import numpy as np

QUIET = 0.0028
"""Time that `piece_of_work` takes on the quiet machine that the bounds were written for [s]."""


def piece_of_work() -> float:
    """Do always the same, some of it in Python and some in numpy."""
    total, row = 0.0, np.linspace(0.1, 1.9, 400)
    for k in range(300):
        total += float((np.cumsum(row * k) / (1.0 + row)).sum())
        for i in range(60):
            total = 0.999 * total + i * i
    return total


def spent(run: Callable[[], object], clock: Callable[[], float]) -> float:
    """Time that something takes by a clock [s]."""
    began = clock()
    run()
    return clock() - began


def pace(clock: Callable[[], float] = time.process_time, tries: int = 5) -> float:
    """How many times slower than the quiet machine this one is now; 1 when it is quicker."""
    return max(1.0, min(spent(piece_of_work, clock) for _ in range(tries)) / QUIET)


def quiet_seconds(
    run: Callable[[], object], tries: int = 7, clock: Callable[[], float] = time.process_time
) -> float:
    """Least time of a few runs, as the quiet machine would take it [s].

    Processor time, so that waiting for a processor does not count; what slows every program
    down (a slow processor, another program on the same core) is taken out by the pace.
    """
    least, paces = np.inf, []
    for _ in range(tries):
        paces.append(pace(clock, 2))
        least = min(least, spent(run, clock))
    return float(least) / min(paces)


def quiet_command(args: list[str], tries: int = 5) -> float:
    """Least processor time of a program, as the quiet machine would take it [s]."""

    def ask() -> None:
        subprocess.run(args, check=True, capture_output=True)

    def children() -> float:
        times = os.times()
        return times.children_user + times.children_system

    paces = [pace(tries=2) for _ in range(tries)]
    return min(spent(ask, children) for _ in range(tries)) / min(paces)
