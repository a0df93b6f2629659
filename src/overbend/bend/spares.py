"""How many strips to mill so that enough come through.

Strips of one board agree with each other: a poor board loses several. The losses of a board of
m strips are beta-binomial (each board draws its own chance from a beta distribution); boards
are independent. How well the chance itself is known enters as weighted scenarios.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.curve import Floats
from overbend.errors import LayupError

__all__ = [
    "CONFIDENCE",
    "MOST_PER_GOOD",
    "Spares",
    "chance_enough",
    "expected_losses",
    "loss_chances",
    "spares_needed",
]

CONFIDENCE = 0.95  # our choice: nineteen batches in twenty come out with enough
MOST_PER_GOOD = 20  # strips milled per good one at which the search gives up. Our choice


@dataclass(frozen=True)
class Spares:
    """How many strips to mill.

    Parameters
    ----------
    good : strips that must come through.
    mill : strips to mill, or None when no number within reason is enough.
    boards : boards they come from; 0 when `mill` is None.
    confidence : chance of enough that was asked for.
    reached : chance of enough with `mill` strips (with the most looked at, when None).
    losses : strips expected to break among those milled.
    reason : why there is no number; "" when there is one.
    """

    good: int
    mill: int | None
    boards: int
    confidence: float
    reached: float
    losses: float
    reason: str = ""

    @property
    def spare(self) -> int:
        """Strips milled beyond the good ones; 0 when there is no number."""
        return 0 if self.mill is None else self.mill - self.good

    def words(self) -> str:
        """Say it in a sentence."""
        if self.mill is None:
            return self.reason
        return (
            f"Mill {self.mill} for {self.good}: about {self.losses:.1f} break, and in "
            f"{math.floor(100 * self.reached + 1e-6)} batches of 100 enough are left."
        )


def loss_chances(count: int, p: ArrayLike, rho: ArrayLike = 0.0) -> Floats:
    """Chance of losing 0, 1 ... `count` strips of one board.

    The beta-binomial with mean p and likeness rho = 1/(alpha + beta + 1), written as products
    so that rho = 0 is the plain binomial:
    C(m, k) prod_{i<k}(p + i u) prod_{i<m-k}(q + i u) / prod_{i<m}(1 + i u), u = rho/(1 - rho).

    Parameters
    ----------
    count : strips of the board, m >= 0.
    p : chance that a strip breaks, 0 to 1, any shape.
    rho : likeness of two strips of a board, 0 <= rho < 1, same shape or a number.

    Returns
    -------
    Floats
        Shape p.shape + (count + 1,); each row sums to 1.

    Raises
    ------
    LayupError
        When `p` or `rho` lies outside its range.

    Examples
    --------
    >>> loss_chances(2, 0.5).tolist()
    [0.25, 0.5, 0.25]
    >>> loss_chances(2, 0.5, 0.5).round(3).tolist()  # alike: more boards lose both or none
    [0.375, 0.25, 0.375]
    """
    return _chances(_products(p, rho, count), count)


def chance_enough(
    good: int,
    boards: Sequence[int],
    p: ArrayLike,
    rho: ArrayLike = 0.0,
    weight: ArrayLike | None = None,
) -> float:
    """Chance that at least `good` strips of these boards come through.

    Parameters
    ----------
    good : strips needed.
    boards : strips milled from each board.
    p, rho : chance of breaking and likeness within a board; one value, or one per scenario
        of how strong this wood really is (shared by all boards), shape (K,).
    weight : weights of the scenarios, shape (K,), any positive sum; even when None.

    Returns
    -------
    float

    Examples
    --------
    >>> round(chance_enough(1, [2], 0.5), 3)
    0.75
    >>> round(chance_enough(1, [2], 0.5, 0.5), 3)  # both from a board that may be poor
    0.625
    """
    return _Wood(*_scenarios(p, rho, weight)).enough(good, Counter(boards))


def expected_losses(milled: int, p: ArrayLike, weight: ArrayLike | None = None) -> float:
    """Strips expected to break among those milled, whatever boards they come from.

    Examples
    --------
    >>> expected_losses(16, 0.125)
    2.0
    """
    p, _, w = _scenarios(p, 0.0, weight)
    return float(milled * (p @ w))


def spares_needed(
    good: int,
    p: ArrayLike,
    rho: ArrayLike = 0.0,
    weight: ArrayLike | None = None,
    *,
    strips_per_board: int = 1,
    confidence: float = CONFIDENCE,
) -> Spares:
    """Least number of strips to mill so that `good` come through.

    Parameters
    ----------
    good : strips needed, >= 1.
    p, rho, weight : as for :func:`chance_enough`; :meth:`BreakRisk.scenarios` gives all three.
    strips_per_board : strips that one board yields; the last board may give fewer.
    confidence : chance of enough, above 0 and below 1.

    Returns
    -------
    Spares
        `mill` is None when even twenty for one are not enough.

    Raises
    ------
    LayupError
        When a count is below 1 or `confidence` is outside its range.

    Examples
    --------
    >>> spares_needed(14, 0.05).words()
    'Mill 16 for 14: about 0.8 break, and in 95 batches of 100 enough are left.'
    >>> spares_needed(14, 0.05, 0.25, strips_per_board=9).mill
    18
    """
    if not (good >= 1 and strips_per_board >= 1 and 0.0 < confidence < 1.0):
        raise LayupError(
            f"{good} strips, {strips_per_board} from a board, confidence {confidence:g}",
            allowed="counts of 1 or more, a confidence between 0 and 1",
        )

    wood = _Wood(*_scenarios(p, rho, weight))

    def chance(milled: int) -> float:
        return wood.enough(good, _boards(milled, strips_per_board))

    most = MOST_PER_GOOD * good
    mill = _least(chance, good, most, confidence)
    if mill is None:
        return Spares(
            good, None, 0, confidence, chance(most), expected_losses(most, p, weight),
            f"Not even {most} strips are enough for {good}: ease the bend or thin the strips.",
        )  # fmt: skip
    boards = math.ceil(mill / strips_per_board)
    losses = expected_losses(mill, p, weight)
    return Spares(good, mill, boards, confidence, chance(mill), losses)


def _least(chance: Callable[[int], float], low: int, most: int, confidence: float) -> int | None:
    """Least number from `low` to `most` whose chance reaches the confidence; it only grows."""
    step, high = 1, low
    while chance(high) < confidence:
        if high == most:
            return None
        low, high, step = high + 1, min(high + step, most), 2 * step
    while low < high:
        middle = (low + high) // 2
        if chance(middle) < confidence:
            low = middle + 1
        else:
            high = middle
    return high


def _boards(milled: int, per_board: int) -> dict[int, int]:
    """How many boards give how many strips: full ones, then the rest."""
    full, rest = divmod(milled, per_board)
    return {count: times for count, times in ((per_board, full), (rest, 1)) if count and times}


class _Wood:
    """Strips of one kind over the scenarios of their strength; what recurs is computed once.

    Parameters
    ----------
    p, rho, weight : of each scenario, shape (K,), weights summing to 1.
    """

    def __init__(self, p: Floats, rho: Floats, weight: Floats) -> None:
        self.p, self.rho, self.weight = p, rho, weight
        self._products = _products(p, rho, 0)
        self._waves: dict[tuple[int, int, int], NDArray[np.complex128]] = {}

    def enough(self, good: int, boards: Mapping[int, int]) -> float:
        """Chance that `good` strips come through; `boards` says how many give how many strips."""
        milled = sum(count * times for count, times in boards.items())
        if milled < good:
            return 0.0
        size = 1 << milled.bit_length()
        wave = np.ones((1, size // 2 + 1), complex)
        for count, times in boards.items():
            wave = wave * self._wave(count, times, size)
        losses = np.fft.irfft(wave, size)[:, : milled - good + 1].sum(axis=1)
        return float(min(max(losses @ self.weight, 0.0), 1.0))

    def _wave(self, count: int, times: int, size: int) -> NDArray[np.complex128]:
        """Transform of the losses of `times` boards of `count` strips."""
        if (count, times, size) not in self._waves:
            if count >= self._products.lost.shape[-1]:
                self._products = _products(self.p, self.rho, count)
            one = np.fft.rfft(_chances(self._products, count), size)
            self._waves[count, times, size] = _power(one, times)
        return self._waves[count, times, size]


def _scenarios(
    p: ArrayLike, rho: ArrayLike, weight: ArrayLike | None
) -> tuple[Floats, Floats, Floats]:
    """One row per scenario, weights summing to 1."""
    p, rho = np.broadcast_arrays(np.atleast_1d(np.asarray(p, float)), np.asarray(rho, float))
    w = np.ones(p.shape) if weight is None else np.asarray(weight, float)
    return p, rho, w / w.sum()


def _power(wave: NDArray[np.complex128], times: int) -> NDArray[np.complex128]:
    """Whole power by repeated squaring: several times quicker than `**` on complex arrays."""
    result = None
    while True:
        if times % 2:
            result = wave if result is None else result * wave
        times //= 2
        if not times:
            return np.ones_like(wave) if result is None else result
        wave = wave * wave


class _Products(NamedTuple):
    """Logs of the products of the first 0, 1 ... m terms for lost and kept strips, and for both."""

    lost: Floats
    kept: Floats
    both: Floats


def _products(p: ArrayLike, rho: ArrayLike, count: int) -> _Products:
    """Products for boards of up to `count` strips, shape p.shape + (count + 1,)."""
    p, rho = np.broadcast_arrays(np.asarray(p, float), np.asarray(rho, float))
    if not ((p >= 0.0) & (p <= 1.0) & (rho >= 0.0) & (rho < 1.0)).all():
        raise LayupError(
            "a chance of breaking, or the likeness of strips, outside its range",
            allowed="chances from 0 to 1, likeness from 0 to below 1",
        )
    step = (rho / (1.0 - rho))[..., None] * np.arange(count)
    return _Products(*(_log_products(a[..., None] + step) for a in (p, 1.0 - p, np.ones_like(p))))


def _chances(products: _Products, count: int) -> Floats:
    """Chance of losing 0, 1 ... `count` strips of one board."""
    lost, kept, both = (a[..., : count + 1] for a in products)
    return np.asarray(np.exp(_ways(count) + lost + kept[..., ::-1] - both[..., -1:]))


@lru_cache(maxsize=256)
def _ways(count: int) -> Floats:
    """Logs of the numbers of ways to choose 0, 1 ... `count` strips of as many."""
    logs = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, count + 1)))])
    return np.asarray(logs[-1] - logs - logs[::-1])


def _log_products(terms: Floats) -> Floats:
    """Log of the product of the first 0, 1 ... m terms, along the last axis."""
    with np.errstate(divide="ignore"):
        sums = np.cumsum(np.log(terms), axis=-1)
    return np.concatenate([np.zeros((*terms.shape[:-1], 1)), sums], axis=-1)
