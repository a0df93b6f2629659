"""A hot strip being bent: elastic in tension, yielding in compression.

Strain is measured from the straight strip, eps(r) = (r - r_n)/r_n, r_n being the radius of the
fibre that keeps its length. Because dr = r_n d(eps), force and moment per width are integrals
over strain, and the neutral axis follows from a quadratic: nothing here iterates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.errors import LayupError, WoodError

__all__ = [
    "HARDENING_RATIO",
    "HOT_CRUSHING_RATIO",
    "HOT_MODULUS_RATIO",
    "HotSection",
    "HotWood",
    "bend_free",
    "bend_strapped",
    "free_compression",
    "free_tension",
    "slenderness_free",
    "slenderness_strapped",
]

HOT_MODULUS_RATIO = 0.25  # assumed: steamed over dry modulus; no published row reaches 100 C
HOT_CRUSHING_RATIO = 0.175  # assumed: steamed over dry crushing stress (0.15 to 0.20)
HARDENING_RATIO = 0.0  # assumed: slope after crushing over the hot modulus


@dataclass(frozen=True)
class HotWood:
    """Stiffness and crushing stress of hot wood along the grain.

    Parameters
    ----------
    modulus : hot modulus [MPa], > 0.
    crushing : stress at which it yields in compression [MPa], > 0.
    hardening : slope after yielding over `modulus`, 0 <= hardening < 1.

    Raises
    ------
    WoodError
        When a value is outside those limits.

    Examples
    --------
    >>> ash = HotWood.from_dry(12000.0, 51.1)
    >>> round(ash.modulus), round(ash.crushing, 2), round(ash.yield_strain, 5)
    (3000, 8.94, 0.00298)
    """

    modulus: float
    crushing: float
    hardening: float = HARDENING_RATIO

    def __post_init__(self) -> None:
        good = all(math.isfinite(v) and v > 0 for v in (self.modulus, self.crushing))
        if not (good and 0.0 <= self.hardening < 1.0):
            raise WoodError(
                f"hot wood of modulus {self.modulus:g} MPa, crushing {self.crushing:g} MPa, "
                f"hardening {self.hardening:g}",
                allowed="modulus and crushing above 0, hardening from 0 to below 1",
                todo="give the dry modulus and crushing stress of the species",
            )

    @classmethod
    def from_dry(
        cls,
        modulus: float,
        crushing: float,
        modulus_ratio: float = HOT_MODULUS_RATIO,
        crushing_ratio: float = HOT_CRUSHING_RATIO,
        hardening: float = HARDENING_RATIO,
    ) -> HotWood:
        """Hot wood from the dry modulus and the dry crushing stress along the grain [MPa]."""
        return cls(modulus * modulus_ratio, crushing * crushing_ratio, hardening)

    @property
    def yield_strain(self) -> float:
        """Compression strain at which it begins to crush."""
        return self.crushing / self.modulus


@dataclass(frozen=True)
class HotSection:
    """State of a hot strip at each curvature; every array has the shape of the curvature.

    Parameters
    ----------
    tension : stretch of the convex face (negative when a strap leaves none).
    compression : shortening of the concave face, positive.
    neutral_depth : distance of the unstretched fibre from the convex face [mm].
    moment : bending moment per width [N mm/mm], strap included.
    strap_tension : pull in the strap per width [N/mm], 0 without a strap.
    """

    tension: Floats
    compression: Floats
    neutral_depth: Floats
    moment: Floats
    strap_tension: Floats


def bend_free(wood: HotWood, depth: float, kappa: ArrayLike) -> HotSection:
    r"""Bend a hot strip without a strap: the neutral axis by force balance.

    With rho = kappa r (so rho_o, rho_i = 1 +- kappa h/2), e_y the yield strain and k the
    hardening, the sum of stresses vanishes where

        (1 - k)(1 - e_y)^2 rho_n^2 - 2 [rho_o - e_y rho_i - k (1 - e_y) rho_i] rho_n
        + rho_o^2 - k rho_i^2 = 0,

    or at mid-depth while nothing has yielded (kappa h/2 <= e_y).

    Parameters
    ----------
    wood : the hot wood.
    depth : thickness in the plane of the bend, h [mm], > 0.
    kappa : curvature of the mid-depth line [1/mm], any shape; only its size counts.

    Returns
    -------
    HotSection

    Raises
    ------
    LayupError
        When `depth` is not above zero.

    Notes
    -----
    Valid while plane sections stay plane: about depth/radius up to 1/2 at mid-depth. Only
    crushing/modulus matters for the strains. Creep and the loss of heat are left out.

    Examples
    --------
    >>> ash = HotWood.from_dry(12000.0, 51.1, crushing_ratio=0.15)
    >>> s = bend_free(ash, 25.0, 1 / (310 + 12.5))
    >>> print(f"{s.tension:.2%} {s.compression:.1%}")
    1.71% 5.9%
    """
    bend = _size(kappa, depth)
    section = _section(wood, depth, bend, _free_axis(wood, bend * depth))
    return replace(section, strap_tension=np.zeros_like(bend))


def bend_strapped(
    wood: HotWood,
    depth: float,
    kappa: ArrayLike,
    stretch: float = 0.0,
    strap_thickness: float = 0.0,
) -> HotSection:
    """Bend a hot strip in a strap with end stops: the convex face keeps its length.

    The neutral radius is r_o/(1 + stretch). A strap can only hold back: where the strip would
    by itself stretch less than `stretch`, the strap is slack and the strip bends as without one.

    Parameters
    ----------
    wood, depth, kappa : as for :func:`bend_free`.
    stretch : stretch of the convex face that the stops let in, >= 0.
    strap_thickness : [mm]; the strap pulls along its own middle. Its own stiffness is left out.

    Returns
    -------
    HotSection
        `strap_tension` is an upper bound: the strap takes all the compression of the section.

    Raises
    ------
    LayupError
        When `depth` is not above zero, or `stretch` or `strap_thickness` is negative.

    Examples
    --------
    Inside radius four thicknesses: one fifth of the concave face must be squeezed away.

    >>> s = bend_strapped(HotWood(3000.0, 9.0), 25.0, 1 / 112.5)
    >>> print(f"{s.compression:.1%} {s.tension:.1%}")
    20.0% 0.0%
    """
    if not (stretch >= 0.0 and strap_thickness >= 0.0):
        raise LayupError(
            f"a strap {strap_thickness:g} mm thick letting in a stretch of {stretch:g}",
            allowed="thickness and stretch of 0 or more",
        )
    bend = _size(kappa, depth)
    held = (1.0 + 0.5 * bend * depth) / (1.0 + stretch)
    free = _free_axis(wood, bend * depth)
    section = _section(wood, depth, bend, np.maximum(held, free))
    pull = np.where(held > free, -section.strap_tension, 0.0)
    arm = section.neutral_depth + 0.5 * strap_thickness
    return replace(section, moment=section.moment + pull * arm, strap_tension=pull)


def free_compression(wood: HotWood, tension: float) -> float:
    """Shortening of the concave face that balances a stretch of the convex face.

    Equal areas under the stress-strain line on both sides:
    e^2/2 = e_y^2/2 + e_y x + k x^2/2, with x = compression - e_y.

    Parameters
    ----------
    wood : the hot wood.
    tension : stretch of the convex face, >= 0.

    Returns
    -------
    float
        Compression strain, positive; equal to `tension` before anything yields.

    Examples
    --------
    >>> round(free_compression(HotWood(3000.0, 7.665), 0.0175), 4)
    0.0612
    """
    ey, k = wood.yield_strain, wood.hardening
    if tension <= ey:
        return tension
    c = tension**2 - ey**2
    return ey + c / (ey + math.sqrt(ey**2 + k * c))


def free_tension(wood: HotWood, compression: float) -> float:
    """Stretch of the convex face that balances a shortening of the concave one.

    Inverse of :func:`free_compression`.

    Examples
    --------
    >>> ash = HotWood(3000.0, 7.665)
    >>> round(free_tension(ash, free_compression(ash, 0.0175)), 6)
    0.0175
    """
    ey, k = wood.yield_strain, wood.hardening
    if compression <= ey:
        return compression
    x = compression - ey
    return math.sqrt(ey**2 + 2.0 * ey * x + k * x**2)


def slenderness_free(wood: HotWood, tension: float, compression: float) -> float:
    """Least mid-depth radius over thickness that a hot strip takes without a strap.

    Parameters
    ----------
    wood : the hot wood.
    tension, compression : strains that the faces may reach, > 0.

    Returns
    -------
    float
        R/h, R at mid-depth; never below 1/2, where the concave face has no length left.

    Examples
    --------
    >>> ash = HotWood.from_dry(12000.0, 51.1, crushing_ratio=0.15)
    >>> round(slenderness_free(ash, 0.0175, 0.30) - 0.5, 1)  # inside radius over thickness
    11.9
    """
    e = min(tension, free_tension(wood, compression))
    return _slenderness(e, free_compression(wood, e))


def slenderness_strapped(
    wood: HotWood, tension: float, compression: float, stretch: float = 0.0
) -> float:
    """Least mid-depth radius over thickness that a hot strip takes in a strap.

    Compression governs: R_in = h (1 - e_c)/(e_c + stretch). A strap that lets in more than the
    wood can stretch is no help, and the strip counts as without one.

    Examples
    --------
    >>> round(slenderness_strapped(HotWood(3000.0, 9.0), 0.0175, 0.30) - 0.5, 2)
    2.33
    """
    if stretch > tension:
        return slenderness_free(wood, tension, compression)
    return _slenderness(min(stretch, free_tension(wood, compression)), compression)


def _slenderness(tension: float, compression: float) -> float:
    """R/h at mid-depth from the strains of the two faces."""
    return max(0.5, (1.0 + 0.5 * (tension - compression)) / (tension + compression))


def _size(kappa: ArrayLike, depth: float) -> Floats:
    """Curvature without its sign, once the depth has been looked at."""
    if not (math.isfinite(depth) and depth > 0.0):
        raise LayupError(
            f"a strip {depth:g} mm thick",
            allowed="a thickness above zero",
            todo="give the planed thickness",
        )
    return np.asarray(np.abs(np.asarray(kappa, float)))


def _free_axis(wood: HotWood, bend: Floats) -> Floats:
    """Neutral radius times curvature when no outside force acts, from kappa h."""
    ey, k = wood.yield_strain, wood.hardening
    ro, ri = 1.0 + 0.5 * bend, 1.0 - 0.5 * bend
    a = (1.0 - k) * (1.0 - ey) ** 2
    b = ro - ey * ri - k * (1.0 - ey) * ri
    c = ro**2 - k * ri**2
    root = np.sqrt(np.maximum(b**2 - a * c, 0.0))
    return np.asarray(np.where(0.5 * bend <= ey, 1.0, c / (b + root)))


def _section(wood: HotWood, depth: float, bend: Floats, rho_n: Floats) -> HotSection:
    """Strains and the wood's own force and moment about a given neutral axis."""
    outer = (1.0 + 0.5 * bend * depth) / rho_n - 1.0
    inner = 1.0 - (1.0 - 0.5 * bend * depth) / rho_n
    curved = bend > 0.0
    r_n = np.where(curved, rho_n / np.where(curved, bend, 1.0), 0.0)
    force = r_n * (_tension_area(wood, outer) - _crush_area(wood, inner))
    moment = r_n**2 * (wood.modulus * outer**3 / 3.0 + _crush_moment(wood, inner))
    neutral = np.where(curved, r_n * outer, 0.5 * depth)
    return HotSection(*map(np.asarray, (outer, inner, neutral, moment, force)))


def _tension_area(wood: HotWood, strain: Floats) -> Floats:
    """Area under the tension line up to `strain` [MPa]."""
    return np.asarray(0.5 * wood.modulus * strain**2)


def _crush_area(wood: HotWood, strain: Floats) -> Floats:
    """Area under the compression line up to `strain` [MPa]."""
    ey = wood.yield_strain
    low, past = np.minimum(strain, ey), np.maximum(strain - ey, 0.0)
    hard = 0.5 * wood.hardening * past**2
    return np.asarray(wood.modulus * (0.5 * low**2 + ey * past + hard))


def _crush_moment(wood: HotWood, strain: Floats) -> Floats:
    """First moment of the compression line up to `strain` [MPa]."""
    ey = wood.yield_strain
    low, past = np.minimum(strain, ey), np.maximum(strain - ey, 0.0)
    flat = ey * past * (ey + 0.5 * past)
    hard = wood.hardening * past**2 * (past / 3.0 + 0.5 * ey)
    return np.asarray(wood.modulus * (low**3 / 3.0 + flat + hard))
