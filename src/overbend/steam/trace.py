"""A quantity over time, known with its rate at a few times."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats

__all__ = ["Trace"]


Number = TypeVar("Number", float, Floats)


def _coefficients(
    h: Number, values: Sequence[Number], rates: Sequence[Number]
) -> tuple[Number, Number, Number, Number]:
    """Cubic in the fraction of a step h from values and rates at its two ends, rising powers."""
    rise, r0, r1 = values[1] - values[0], h * rates[0], h * rates[1]
    return values[0], r0, 3.0 * rise - 2.0 * r0 - r1, r0 + r1 - 2.0 * rise


@dataclass(frozen=True, eq=False)
class Trace:
    """Values and rates at times, joined by cubics (Hermite).

    Parameters
    ----------
    times : increasing, shape (n,), n >= 2 [s].
    values : shape (n,).
    rates : change per second, shape (n,).

    Examples
    --------
    >>> fall = Trace(np.array([0.0, 2.0]), np.array([0.0, 8.0]), np.array([0.0, 12.0]))
    >>> float(fall.at(1.0)), round(fall.when(3.375), 6)
    (1.0, 1.5)
    """

    times: Floats
    values: Floats
    rates: Floats

    def at(self, t: ArrayLike) -> Floats:
        """Values at times t [s]; the first and last value hold outside."""
        when: Floats = np.clip(np.asarray(t, float), self.times[0], self.times[-1])
        i = np.clip(np.searchsorted(self.times, when, side="right") - 1, 0, len(self.times) - 2)
        h = self.times[i + 1] - self.times[i]
        v, r = self.values, self.rates
        u: Floats = (when - self.times[i]) / h
        a, b, c, d = _coefficients(h, (v[i], v[i + 1]), (r[i], r[i + 1]))
        return np.asarray(a + u * (b + u * (c + u * d)))

    def when(self, level: float) -> float:
        """First time the value reaches a level, coming from where it starts [s].

        Infinite when it does not get there within the times computed.
        """
        side = np.sign(self.values - level)
        if side[0] == 0.0:
            return float(self.times[0])
        there = np.flatnonzero(side != side[0])
        if not len(there):
            return math.inf
        i = int(there[0])
        (t0, t1), v, r = (a[i - 1 : i + 1].tolist() for a in (self.times, self.values, self.rates))
        a, b, c, d = _coefficients(t1 - t0, v, r)
        above, low, high = bool(side[0] > 0.0), 0.0, 1.0
        for _ in range(40):
            u = 0.5 * (low + high)
            if (a + u * (b + u * (c + u * d)) > level) == above:
                low = u
            else:
                high = u
        return float(t0 + 0.5 * (low + high) * (t1 - t0))

    def integral(self) -> Floats:
        """Integral of the value from the first time to each time, exact for the cubics."""
        h = np.diff(self.times)
        pieces = 0.5 * h * (self.values[1:] + self.values[:-1])
        pieces += h * h / 12.0 * (self.rates[:-1] - self.rates[1:])
        return np.concatenate([[0.0], np.cumsum(pieces)])
