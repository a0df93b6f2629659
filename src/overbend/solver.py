"""What every search returns: the value found, what is proven about it, and how long it took.

A search may be stopped at any time. It then returns the best it has and the bound proven so
far; the gap says how much better the best possible could still be.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

__all__ = ["Cancel", "Clock", "Progress", "Solution", "Status", "Stop"]

Status = Literal["optimal", "feasible", "infeasible", "unknown"]


@dataclass(frozen=True)
class Solution:
    """How good a result is, and what is proven about it. Smaller is better.

    Parameters
    ----------
    objective : value of the best found; None when nothing was found.
    bound : proven: no solution is below this.
    runtime : of the search [s].
    status : "optimal" (proven best), "feasible" (stopped with a gap), "infeasible" (proven that
        there is none), "unknown" (stopped without any).

    Examples
    --------
    >>> stopped = Solution(objective=102.0, bound=100.0, runtime=2.5, status="feasible")
    >>> round(stopped.gap, 4)
    0.0196
    """

    objective: float | None
    bound: float
    runtime: float
    status: Status

    @property
    def gap(self) -> float:
        """Part of the objective that could still be saved; 0 when proven, inf when none found."""
        if self.objective is None:
            return float("inf")
        if self.objective <= self.bound or self.objective == 0.0:
            return 0.0
        return (self.objective - self.bound) / abs(self.objective)


Progress = Callable[[Solution], None]
"""Called with each better solution."""

Cancel = Callable[[], bool]
"""Asked now and then; True ends the search with the best found so far."""


@dataclass(frozen=True)
class Stop:
    """When a search may end before its proof.

    Parameters
    ----------
    seconds : time it may take [s].
    gap : it ends once the gap is at or below this.
    """

    seconds: float = 20.0
    gap: float = 0.0


@dataclass(frozen=True)
class Clock:
    """Time left of a search, and whether somebody asked it to end.

    Examples
    --------
    >>> clock = Clock(5.0)
    >>> 4.0 < clock.left <= 5.0, clock.over
    (True, False)
    >>> Clock(5.0, cancel=lambda: True).over
    True
    """

    seconds: float
    cancel: Cancel | None = None
    start: float = field(default_factory=time.monotonic)

    @property
    def used(self) -> float:
        """Time since the start [s]."""
        return time.monotonic() - self.start

    @property
    def cancelled(self) -> bool:
        """Whether the search was asked to end."""
        return self.cancel is not None and self.cancel()

    @property
    def left(self) -> float:
        """Time left [s], never below zero."""
        return max(0.0, self.seconds - self.used)

    @property
    def over(self) -> bool:
        """Whether the search has to end now."""
        return self.left <= 0.0 or self.cancelled

    def part(self, share: float) -> Clock:
        """Clock for a step that may take this share of the time left."""
        return Clock(self.left * share, self.cancel)
