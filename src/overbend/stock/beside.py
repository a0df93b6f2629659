"""Other searches for the same plan, each in a process of its own.

Chance decides where a search for many boards gets stuck. Where the machine has cores to spare,
others search with other chance, and the best plan of all is taken. They are programs of this
package started anew, so that they work in any program that calls `overbend.stock.cut`.
"""

from __future__ import annotations

import os
import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from typing import IO

from overbend.solver import Clock, Stop
from overbend.stock.build import Sawn
from overbend.stock.patterns import Problem

__all__ = ["beside"]

MANY = 300
"""Pieces from which on others search too; fewer are proven before they would have begun."""

ANEW = (0.2, 0.6, 0.35)
"""Share of its time in which each of the others begins plans anew; there are no more of them."""

LEAST_SECONDS = 3.0
"""Time below which it is not worth while [s]."""

Found = queue.SimpleQueue[list[Sawn]]


@contextmanager
def beside(
    problem: Problem, clock: Clock, seed: int
) -> Iterator[Callable[[], Iterator[list[Sawn]]]]:
    """Let others search as long as the context lasts, when that is worth while.

    Parameters
    ----------
    problem : the problem.
    clock : when they have to end.
    seed : of this search; theirs follow from it.

    Returns
    -------
    What gives the plans found since it was asked last.
    """
    found: Found = queue.SimpleQueue()
    many = problem.counts.sum() >= MANY and clock.left >= LEAST_SECONDS
    with ExitStack() as stack:
        for n in range(min(len(ANEW), cores() - 1) if many and sys.executable else 0):
            stack.enter_context(_other(problem, ([seed, n + 1], clock.left, ANEW[n]), found))
        yield lambda: _waiting(found)


def cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _waiting(found: Found) -> Iterator[list[Sawn]]:
    with suppress(queue.Empty):
        while True:
            yield found.get_nowait()


@contextmanager
def _other(
    problem: Problem, how: tuple[Sequence[int], float, float], found: Found
) -> Iterator[None]:
    """One other search: its seed, seconds and share of beginning anew. It ends with the context."""
    program = "from overbend.stock.beside import main; main()"
    started = subprocess.Popen(
        [sys.executable, "-P", "-c", program], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )  # fmt: skip
    assert started.stdin is not None
    assert started.stdout is not None
    asked = problem.demands, problem.supply, problem.shop, *how
    listener = threading.Thread(
        target=_listen, args=(started.stdin, started.stdout, asked, found), daemon=True
    )
    try:
        listener.start()
        yield
    finally:
        started.kill()
        started.wait()
        listener.join()
        with suppress(OSError):
            started.stdin.close()
        started.stdout.close()


def _listen(there: IO[bytes], back: IO[bytes], asked: object, found: Found) -> None:
    """Say what is asked, then take in plans until the other search ends."""
    with suppress(EOFError, OSError, pickle.UnpicklingError):
        pickle.dump(asked, there)
        there.flush()
        while True:
            found.put(pickle.load(back))


def main() -> None:
    """Search for a plan that another process asked for, and tell it of each better one."""
    import numpy as np

    from overbend.stock.least import least_cost

    back = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints is no plan
    demands, supply, shop, seed, seconds, anew = pickle.load(sys.stdin.buffer)
    threading.Thread(target=_leave, daemon=True).start()

    def told(plan: Sequence[Sawn], _: float) -> None:
        pickle.dump(list(plan), back)
        back.flush()

    problem = Problem(demands, supply, shop)
    least_cost(problem, np.random.default_rng(seed), Clock(seconds), Stop(), told, anew=anew)


def _leave() -> None:
    """End at once when the other end of the pipe is closed."""
    sys.stdin.buffer.read()
    os._exit(0)
