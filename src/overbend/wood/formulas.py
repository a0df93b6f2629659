"""Laws of clear wood: moisture, density, slope of grain, spread.

References
----------
Wood Handbook, FPL-GTR-282 (2021): equation 5-3 (strength and stiffness against moisture),
equations 4-3, 4-13 and 4-14 (most moisture, specific gravity, density).
"""

from __future__ import annotations

import math
from functools import cache
from typing import overload

import numpy as np
from numpy.typing import NDArray

from overbend.errors import WoodError
from overbend.wood.tables import citation, read_cell, rows
from overbend.wood.thermal import FIBRE_SATURATION
from overbend.wood.values import Value

__all__ = [
    "SHEAR_FREE",
    "adjust_moisture",
    "basic_from_gravity",
    "density_at",
    "grain_factor",
    "handbook",
    "hankinson",
    "maximum_moisture",
    "variation",
]

Floats = NDArray[np.float64]

SHEAR_FREE = 1.1
"""Modulus along the grain over the tabled modulus of elasticity, whose beam is short enough
to shear (Wood Handbook, FPL-GTR-282, Table 5-3, footnote c)."""

_VOID_FREE = 1.54  # specific gravity of wood substance in water, equation 4-3
_SHRINK = 0.265  # volumetric shrinkage over basic specific gravity, equation 4-12


@overload
def adjust_moisture(
    P12: float, Pg: float, M: float, Mp: float = ..., dry: float = ...
) -> float: ...


@overload
def adjust_moisture(
    P12: float | Floats, Pg: float | Floats, M: Floats, Mp: float = ..., dry: float = ...
) -> Floats: ...


def adjust_moisture(
    P12: float | Floats, Pg: float | Floats, M: float | Floats, Mp: float = 25.0, dry: float = 12.0
) -> float | Floats:
    """Return a property at a moisture content, near 21 C.

    P = P12 (P12 / Pg)^((12 - M) / (Mp - 12)) for M below Mp, and Pg from there up. The
    equation is not for work to maximum load, impact bending or tension across the grain.

    Parameters
    ----------
    P12 : property at ``dry`` per cent moisture, any unit, > 0.
    Pg : property of green wood, the same unit, > 0.
    M : moisture, scalar or array [%], >= 0.
    Mp : moisture at which drying begins to change the property [%].
    dry : moisture that P12 holds at [%], where it is not 12.

    Returns
    -------
    The property at M, in the unit of P12.

    Raises
    ------
    WoodError
        A moisture below zero, a property of zero or less, or Mp not above ``dry``.

    Examples
    --------
    White ash bending strength at 8 %, worked in the Handbook as 119 500 kPa:

    >>> round(adjust_moisture(103_000, 66_000, 8, 24))
    119473

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 5-3 and Table 5-13.
    """
    if np.any(np.less(M, 0)):
        raise WoodError(f"a moisture of {np.min(M):g} %", allowed="0 % and up")
    if np.any(np.less_equal(P12, 0)) or np.any(np.less_equal(Pg, 0)):
        raise WoodError("a property of zero or less", allowed="dry and green figures above zero")
    if Mp <= dry:
        raise WoodError(
            f"drying would begin to stiffen at {Mp:g} %, not above the dry {dry:g} %",
            allowed=f"more than {dry:g} %",
        )
    if isinstance(M, np.ndarray):
        power: Floats = (dry - np.minimum(M, Mp)) / (Mp - dry)
        return np.asarray(P12 * (P12 / Pg) ** power)
    return P12 * (P12 / Pg) ** ((dry - min(M, Mp)) / (Mp - dry))


def basic_from_gravity(gravity: float, M: float) -> float:
    """Return specific gravity on green volume from that on the volume at a moisture.

    Equation 4-13 solved for Gb.

    Parameters
    ----------
    gravity : dry mass over volume at M.
    M : moisture [%].

    Examples
    --------
    >>> from overbend.wood.thermal import gravity_at
    >>> round(basic_from_gravity(gravity_at(0.55, 12), 12), 4)
    0.55
    """
    _moisture_not_negative(M)
    return gravity / (1 + _SHRINK * gravity * max(0.0, 1 - M / FIBRE_SATURATION))


def density_at(gravity: float, M: float) -> float:
    """Return density with the water in it [kg/m3].

    rho = 1000 Gx (1 + x / 100).

    Parameters
    ----------
    gravity : dry mass over volume at M, Gx.
    M : moisture, x [%].

    Examples
    --------
    >>> round(density_at(0.60, 12))
    672

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-14.
    """
    _moisture_not_negative(M)
    return 1000.0 * gravity * (1 + M / 100)


def maximum_moisture(basic: float) -> float:
    """Return the moisture at which every void is full of water [%].

    Parameters
    ----------
    basic : specific gravity on green volume, Gb.

    Examples
    --------
    >>> round(maximum_moisture(0.55))
    117

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-3.
    """
    return 100 * (_VOID_FREE - basic) / (_VOID_FREE * basic)


def hankinson(parallel: float, across: float, angle: float, power: float = 2.0) -> float:
    """Return strength or stiffness at an angle to the grain.

    N = P Q / (P sin^n a + Q cos^n a). From memory: the formula was not read.

    Parameters
    ----------
    parallel, across : strength along (P) and across (Q) the grain, one unit, > 0.
    angle : between force and grain [rad], 0 to pi / 2.
    power : n.

    Raises
    ------
    WoodError
        The angle is not between along and across the grain.

    Examples
    --------
    >>> import math
    >>> round(hankinson(50.0, 5.0, math.radians(30)), 2)
    15.38
    """
    if not 0 <= angle <= math.pi / 2 + 1e-12:
        raise WoodError(
            f"grain at {math.degrees(angle):g} degrees",
            allowed="0 (along) to 90 degrees (across)",
        )
    sin, cos = math.sin(angle), max(0.0, math.cos(angle))
    return parallel * across / (parallel * math.pow(sin, power) + across * math.pow(cos, power))


# Power n and ratio Q/P, both as (low, high), from memory of the Wood Handbook's chapter 5.
_GRAIN = {
    "mor": ((1.5, 2.0), (0.04, 0.10)),
    "moe": ((2.0, 2.0), (0.04, 0.12)),
    "tension_parallel": ((1.5, 2.0), (0.04, 0.07)),
    "comp_parallel": ((2.0, 2.5), (0.03, 0.40)),
}


def grain_factor(key: str, angle: float) -> Value:
    """Return the part of a property that is left when the grain slopes.

    Parameters
    ----------
    key : ``mor``, ``moe``, ``comp_parallel`` or ``tension_parallel``.
    angle : slope of grain [rad]; 1 in 12 is ``atan(1 / 12)``.

    Returns
    -------
    A factor with its range; from memory. Powers above 2 would give a hair more than 1 at
    small slopes; it is kept at 1.

    Raises
    ------
    WoodError
        No power is known for the property, or the angle is outside 0 to 90 degrees.

    Examples
    --------
    >>> import math
    >>> print(grain_factor("mor", math.atan(1 / 12)))
    0.84926 (0.6277 to 0.94156)
    """
    if key not in _GRAIN:
        raise WoodError(f"no grain law for {key!r}", allowed=", ".join(_GRAIN))
    (n_low, n_high), (q_low, q_high) = _GRAIN[key]
    laws = (
        ((q_low + q_high) / 2, (n_low + n_high) / 2),
        (q_low, n_low),
        (q_high, n_high),
    )
    mid, low, high = (min(1.0, hankinson(1.0, q, angle, n)) for q, n in laws)
    source = (
        f"Hankinson formula, power {n_low:g} to {n_high:g}, "
        f"strength across over along {q_low:g} to {q_high:g}"
    )
    return Value(mid, "", source, "memory", "what sloping grain leaves", low, high)


_SPREAD_KEYS = {"modulus": "moe", "density": "gravity"}


def variation(key: str) -> Value:
    """Return the coefficient of variation of a property among pieces of one wood [%].

    Parameters
    ----------
    key : as in `overbend.wood.species.FACTS`, or ``modulus``, ``density``,
        ``tension_parallel``, ``toughness``.

    Raises
    ------
    WoodError
        No spread is known for the property.

    Examples
    --------
    >>> print(variation("mor"))
    16 %
    """
    table = _variations()
    name = _SPREAD_KEYS.get(key, key)
    if name not in table:
        raise WoodError(
            f"the spread of {key!r} is not known",
            allowed=", ".join([*table, *_SPREAD_KEYS]),
            todo="use one of these, or your own tests",
        )
    return table[name]


@cache
def _variations() -> dict[str, Value]:
    table = {}
    for row in rows("variation"):
        name = f"spread of {row['property']}"
        table[row["property"]] = read_cell(
            row["percent"], "%", name, row["source"], row["status"], "coefficient of variation"
        )
    return table


def handbook(what: str) -> str:
    """Return the citation of an equation of the 2021 Wood Handbook.

    Examples
    --------
    >>> handbook("equation 5-3")
    'Wood Handbook, FPL-GTR-282 (2021), equation 5-3'
    """
    return f"{citation('wh')}, {what}"


def _moisture_not_negative(M: float) -> None:
    if not M >= 0:
        raise WoodError(f"a moisture of {M:g} %", allowed="0 % and up")
