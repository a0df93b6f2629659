"""How fast water moves across the grain, as a range.

The middle is Siau's form, from memory. The range is that times and over 2.5, assumed: between
3 and 20 % moisture it holds both reports that were read: a coefficient that hardly changes
with moisture (Skaar 1958, American beech, tangential), and one that changes eightfold between
2.5 and 18 % (Simpson, aspen at 43 C), both laid through Siau's value at 12 %. The true
doubt about a given board may be larger.

Only water held in the cell walls moves like this. Above fibre saturation the coefficient is
kept at its value there; soaking and the drying of full cells are not diffusion.
"""

from __future__ import annotations

from typing import Generic, NamedTuple, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from overbend.errors import WoodError
from overbend.wood.thermal import FIBRE_SATURATION

__all__ = ["DOUBT", "SOURCE", "DiffusionRange", "transverse_diffusion"]

Floats = NDArray[np.float64]
N = TypeVar("N", float, Floats)

DOUBT = 2.5
"""Factor over and under the middle coefficient; assumed."""

SOURCE = "Siau (1984), from memory, times and over 2.5 assumed"
"""Where the coefficient comes from, to print beside what is computed with it."""

_GAS = 8.314
_KELVIN = 273.15
_LEAST, _MOST = -20.0, 120.0


class DiffusionRange(NamedTuple, Generic[N]):
    """A diffusion coefficient [m2/s]: least, middle and most."""

    low: N
    mid: N
    high: N


@overload
def transverse_diffusion(T: float, M: float, G: float) -> DiffusionRange[float]: ...


@overload
def transverse_diffusion(T: float | Floats, M: Floats, G: float) -> DiffusionRange[Floats]: ...


def transverse_diffusion(
    T: float | Floats, M: float | Floats, G: float
) -> DiffusionRange[float] | DiffusionRange[Floats]:
    """Return the diffusion coefficient of water across the grain [m2/s], as a range.

    D = D_BT / [(1 - a)(1 - a^2)] with D_BT = 7e-6 exp[-(38500 - 290 M) / (R T)], T in
    kelvin, and a^2 the porosity, 1 - G (0.667 + 0.01 M).

    Parameters
    ----------
    T : temperature [deg C], -20 to 120; scalar, or an array where M is one.
    M : moisture [%], >= 0, scalar or array; above 30 the value at 30 is used.
    G : specific gravity, dry mass over volume, 0.2 to 1.0.

    Returns
    -------
    Low, middle and high; arrays where M is an array.

    Raises
    ------
    WoodError
        Temperature, moisture or specific gravity outside these.

    Examples
    --------
    >>> found = transverse_diffusion(20.0, 12.0, 0.55)
    >>> [f"{d:.1e}" for d in found]
    ['1.5e-11', '3.8e-11', '9.4e-11']

    References
    ----------
    J. F. Siau (1984), Transport Processes in Wood: from memory, not read.
    """
    _check(T, M, G)
    kelvin = np.asarray(T, float) + _KELVIN
    bound = np.minimum(np.asarray(M, float), FIBRE_SATURATION)
    wall = 7e-6 * np.exp(-(38500 - 290 * bound) / (_GAS * kelvin))
    porosity = 1 - G * (0.667 + 0.01 * bound)
    mid = wall / ((1 - np.sqrt(porosity)) * (1 - porosity))
    if isinstance(M, np.ndarray):
        return DiffusionRange(mid / DOUBT, mid, mid * DOUBT)
    middle = float(mid)
    return DiffusionRange(middle / DOUBT, middle, middle * DOUBT)


def _check(T: float | Floats, M: float | Floats, G: float) -> None:
    if np.any(np.less(M, 0)):
        raise WoodError(f"a moisture of {np.min(M):g} %", allowed="0 % and up")
    if np.any(np.less(T, _LEAST)) or np.any(np.greater(T, _MOST)):
        worst = np.min(T) if np.any(np.less(T, _LEAST)) else np.max(T)
        raise WoodError(
            f"drying at {worst:g} C",
            allowed=f"{_LEAST:g} to {_MOST:g} C",
            todo="give the temperature of the wood in C",
        )
    if not 0.2 <= G <= 1.0:
        raise WoodError(
            f"a specific gravity of {G:g}: how fast such wood dries is not known",
            allowed="0.2 to 1.0",
        )
