"""How likely a strip is to break while it is bent.

What a strip stands comes from :mod:`overbend.bend.capacity`, what it meets from
:mod:`overbend.bend.strain`. The chance has a range, because the median strain is itself doubtful.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from overbend.bend.capacity import Capacity
from overbend.bend.strain import Limits
from overbend.curve import Floats

__all__ = [
    "FAILS_CHANCE",
    "HOLDS_CHANCE",
    "MISHAP_RANGE",
    "RANGE",
    "BreakRisk",
    "break_risk",
    "chance_words",
    "governing",
    "likeness",
    "limits",
]

HOLDS_CHANCE = 0.05  # our choice: `holds` while no more than 1 strip in 20 is expected to break
FAILS_CHANCE = 0.50  # our choice: `fails` once it breaks more often than not

RANGE = 0.90  # the range of a chance covers nine tenths of the doubt. Our choice
MISHAP_RANGE = 2.0  # assumed: mishaps are known within a factor of two either way

_NORMAL = NormalDist()
_MOST_LIKENESS = 0.999  # two strips are never quite one; keeps the beta distribution proper
_NODES = np.linspace(-4.0, 4.0, 61)  # standard deviations of doubt at which scenarios are taken
_NODE_WEIGHTS = np.exp(-0.5 * _NODES**2) / np.exp(-0.5 * _NODES**2).sum()


@dataclass(frozen=True)
class BreakRisk:
    """Chance that a strip breaks.

    Parameters
    ----------
    strain : greatest strain along the strip.
    index : where it was found among the strains given.
    capacity : what the strip stands.
    expected : chance, averaged over the doubt about the median.
    low, high : chance if the wood is stronger or weaker than thought, nine tenths between.
    """

    strain: float
    index: int
    capacity: Capacity
    expected: float
    low: float
    high: float

    def scenarios(self, doubted: bool = True) -> tuple[Floats, Floats, Floats]:
        """Chances over the doubt, for :func:`overbend.bend.spares.spares_needed`.

        Parameters
        ----------
        doubted : whether the doubt about the median is carried on. Without it there is one
            scenario, at the expected chance: spares against luck, not against wrong figures.

        Returns
        -------
        p, rho, weight : chance of breaking, likeness of two strips of a board, and weight, of
            each scenario, shape (K,).
        """
        capacity = self.capacity
        ratio = _log_ratio(self.strain, capacity.median)
        h = np.array([ratio / capacity.predictive])
        weight = np.ones(1)
        if doubted:
            h, weight = (ratio + capacity.doubt * _NODES) / capacity.spread, _NODE_WEIGHTS
        strained = _normal_chance(h)
        p = strained + (1.0 - strained) * (capacity.mishap if self.strain > 0.0 else 0.0)
        alike = likeness(h, (capacity.board / capacity.spread) ** 2)
        part = np.divide(strained, p, out=np.zeros_like(p), where=p > 0.0)
        return p, alike * part * (1.0 - capacity.mishap), weight

    def words(self) -> str:
        """Say it: ``1 in 60 breaks (1 in 400 to 1 in 9)``."""
        low, high = chance_words(self.low), chance_words(self.high)
        middle = chance_words(self.expected)
        return f"{middle} breaks" + (f" ({low} to {high})" if low != high else "")


def limits(
    tension: Capacity,
    compression: Capacity,
    holds: float = HOLDS_CHANCE,
    fails: float = FAILS_CHANCE,
) -> tuple[Limits, Limits]:
    """Strains of holding and of failing, for :class:`overbend.bend.strain.StripBend`.

    Parameters
    ----------
    tension, compression : what the two faces stand.
    holds, fails : chances of breaking at the two limits, holds < fails.

    Examples
    --------
    >>> from overbend.bend.capacity import cold_capacity, cold_compression
    >>> few, half = limits(cold_capacity(102.7, 11860.0), cold_compression())
    >>> print(f"{few.tension:.2%} {half.tension:.2%}")
    0.90% 1.52%
    """
    few, half = (
        Limits(tension.strain_at(chance), compression.strain_at(chance))
        for chance in (holds, fails)
    )
    return few, half


def break_risk(strain: ArrayLike, capacity: Capacity) -> BreakRisk:
    """Chance that a strip breaks, given the strain along it.

    The greatest strain governs; that a long bend offers more places to break is left out, as
    the published limits do.

    Parameters
    ----------
    strain : strain at each station, any shape, not empty; negative counts as none. A strip
        without strain is not bent and meets no mishap.
    capacity : what the strip stands in that face.

    Returns
    -------
    BreakRisk

    Examples
    --------
    >>> from overbend.bend.capacity import cold_capacity
    >>> risk = break_risk([0.0, 0.009, 0.004], cold_capacity(102.7, 11860.0))
    >>> risk.words()
    '1 in 17 breaks (1 in 200 to 3 in 10)'
    """
    values = np.ravel(np.asarray(strain, float))
    index = int(np.argmax(values))
    most = max(float(values[index]), 0.0)
    log_ratio = _log_ratio(most, capacity.median)
    reach = _NORMAL.inv_cdf(0.5 + 0.5 * RANGE) * capacity.doubt
    mishap = capacity.mishap if most > 0.0 else 0.0
    expected = _either(log_ratio / capacity.predictive, mishap)
    low = _either((log_ratio - reach) / capacity.spread, mishap / MISHAP_RANGE)
    high = _either((log_ratio + reach) / capacity.spread, min(1.0, mishap * MISHAP_RANGE))
    return BreakRisk(most, index, capacity, expected, low, high)


def governing(risks: Iterable[BreakRisk]) -> BreakRisk:
    """Return the likeliest way to break; a strip weak in one face is taken as weak in both."""
    return max(risks, key=lambda risk: risk.expected)


def likeness(h: ArrayLike, share: float) -> Floats:
    """Likeness of two strips of a board: correlation of breaking or not.

    With chance p = Phi(h) each, and latent strengths correlated by `share`,
    (P[both] - p^2)/(p - p^2), P[both] = Phi(h) - 2 T(h, sqrt((1 - share)/(1 + share))), T being
    Owen's function.

    Parameters
    ----------
    h : ln(strain/median) over the spread, any shape.
    share : share of the variance between boards, 0 to 1.

    Returns
    -------
    Floats
        Same shape, 0 to 0.999; 0 where p or 1 - p is below 1e-12.

    Examples
    --------
    >>> float(likeness(0.0, 0.5).round(4))  # 2/pi asin(1/2)
    0.3333
    """
    from scipy.special import owens_t

    h = np.asarray(h, float)
    p = _normal_chance(h)
    odds = p * (1.0 - p)
    both = p - 2.0 * owens_t(np.clip(h, -40.0, 40.0), math.sqrt((1.0 - share) / (1.0 + share)))
    known = odds > 1e-12
    rho = (both - p**2) / np.where(known, odds, 1.0)
    return np.asarray(np.clip(np.where(known, rho, 0.0), 0.0, _MOST_LIKENESS))


def chance_words(p: float) -> str:
    """Say a chance: ``1 in 60``, ``3 in 10``, ``nearly all``.

    Examples
    --------
    >>> [chance_words(p) for p in (0.0, 0.0163, 0.62, 0.997)]
    ['fewer than 1 in 10000', '1 in 61', '6 in 10', 'nearly all']
    """
    if p < 1e-4:
        return "fewer than 1 in 10000"
    if p < 0.225:
        return f"1 in {float(f'{1.0 / p:.2g}'):.0f}"
    return f"{round(10.0 * p)} in 10" if p < 0.95 else "nearly all"


def _either(h: float, mishap: float) -> float:
    """Chance of breaking by strain, Phi(h), or by mishap."""
    p = 0.5 * math.erfc(-h / math.sqrt(2.0))
    return p + (1.0 - p) * mishap


def _normal_chance(h: ArrayLike) -> Floats:
    """Chance that a standard normal lies below h, any shape."""
    from scipy.special import ndtr

    return np.asarray(ndtr(np.asarray(h, float)))


def _log_ratio(strain: float, median: float) -> float:
    """Logarithm of strain over median; minus infinity without strain."""
    return math.log(strain / median) if strain > 0.0 else -math.inf
