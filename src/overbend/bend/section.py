r"""One cross-section of a bent stack: stiffness, neutral fibre and locked-in moment.

Curved-beam theory with each ply at its own radius. With r the radius of a fibre, ply i
between r_i and r_o, mid radius r_c, modulus E and thickness t::

    r_ni = t / ln(r_o / r_i)                      a ply's own neutral radius
    r_n  = sum(E t) / sum(E ln(r_o / r_i))        the stack's
    r_bar = sum(E t r_c) / sum(E t)
    m0   = sum(E t [(r_c - r_ni) at gluing - phi (r_c - r_ni) at setting])
    K    = sum(E t) (r_bar - r_n)
    w    = m0 / K                                 angle lost per unit angle

As the part straightens every radius goes to infinity, so nothing here is computed from
radii. With ``u = 1 - kappa z``, ``x = kappa t / (2 u)`` and
``P(x) = (atanh(x) / x - 1) / x^2`` the same quantities are sums of terms that neither
cancel nor overflow, and they pass smoothly through kappa = 0 into the straight beam's
``sum E [t^3 / 12 + t (z - zbar)^2]``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from overbend.bend.layup import Layup
from overbend.curve.core import Floats

__all__ = ["Section", "layup_section", "section"]

Array = NDArray[Any]

_SERIES_BELOW = 0.2  # |x| up to which the power series reaches rounding with 12 terms
_SERIES = tuple(1.0 / (2 * k + 3) for k in range(12))
_SHORT_SERIES = _SERIES[:4]  # |x| <= 0.02, that is radius >= 25 thicknesses


@dataclass(frozen=True, eq=False)
class Section:
    """Stack quantities per unit width, arrays of the shape of the curvature given.

    Parameters
    ----------
    stiffness : ``K / kappa``: moment per change of ``w kappa`` [N mm2/mm].
    shift : offset of the neutral fibre from mid-depth, to the left [mm].
    moment : locked-in moment m0 that the form holds [N mm/mm].
    """

    stiffness: Array
    shift: Array
    moment: Array

    @property
    def lost(self) -> Array:
        """Angle lost on release per mid-depth length on the form, ``w kappa`` [rad/mm]."""
        return np.asarray(self.moment / self.stiffness)


def atanh_excess(x: Array) -> Array:
    """``(atanh(x) / x - 1) / x^2``, even in x, 1/3 at zero; |x| < 1."""
    square = x * x
    size = float(square.max()) if square.size else 0.0
    if size <= _SERIES_BELOW**2:
        return _power_series(square, _SHORT_SERIES if size <= 4e-4 else _SERIES)
    small = square < _SERIES_BELOW**2
    safe = np.where(small, 0.5, x)
    direct = (np.arctanh(safe) / safe - 1.0) / (safe * safe)
    return np.where(small, _power_series(np.where(small, square, 0.0), _SERIES), direct)


def _power_series(square: Array, terms: tuple[float, ...]) -> Array:
    out = np.full_like(square, terms[-1])
    for term in reversed(terms[:-1]):
        out *= square
        out += term
    return out


def section(
    t: Array, E: Array, z: Array, phi: Array, kappa: Array, kappa_set: Array | None = None
) -> Section:
    """Section quantities with plies along the first axis of t, E, z and phi.

    Parameters
    ----------
    t, E, z, phi : thickness [mm], modulus [MPa], offset of the ply's middle [mm] and set
        fraction, shape (plies, ...).
    kappa : mid-depth curvature at gluing, broadcast against the rest of the axes [1/mm].
    kappa_set : curvature at which the strips took their set; None: that of gluing.
    """
    area = E * t
    total = area.sum(axis=0)
    share = area / total
    middle = (share * z).sum(axis=0)
    reach = 1.0 / (1.0 - kappa * z)
    x = 0.5 * kappa * t * reach
    excess = atanh_excess(x)
    pull = share * reach
    arm = pull * (z - middle)
    first, second = pull.sum(axis=0), (arm * (z - middle)).sum(axis=0)
    lean = arm.sum(axis=0)
    own = 0.25 * (pull * (t * reach) ** 2 * excess).sum(axis=0)
    ring = first + kappa**2 * own
    stiffness = total * (first * second - lean**2 + (1.0 - kappa * middle) * own) / ring
    shift = (middle * first + lean + kappa * own) / ring
    strips = _strip_moment(area * t, x, excess)
    if kappa_set is None:
        held = (1.0 - phi) * strips
    else:
        x_set = 0.5 * kappa_set * t / (1.0 - kappa_set * z)
        held = strips - phi * _strip_moment(area * t, x_set, atanh_excess(x_set))
    return Section(stiffness, shift, held.sum(axis=0))


def _strip_moment(weight: Array, x: Array, excess: Array) -> Array:
    """``E t (r_c - r_ni)`` with weight ``E t^2`` [N mm/mm]."""
    return np.asarray(0.5 * weight * x * excess / (1.0 + x * x * excess))


def layup_section(layup: Layup, kappa: Floats, kappa_set: Floats | None = None) -> Section:
    """Section quantities of a layup at curvatures of any shape [1/mm]."""
    column = (-1, *([1] * kappa.ndim))
    t, E = layup.thickness.reshape(column), layup.modulus.reshape(column)
    z, phi = layup.z.reshape(column), layup.set_fraction.reshape(column)
    return section(t, E, z, phi, kappa, kappa_set)
