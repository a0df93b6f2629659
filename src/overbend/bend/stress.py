r"""Stress along and across the grain: locked in, left after release, and from loads.

With z the offset from mid-depth to the left, ``u = 1 - kappa z`` and e a neutral fibre's
offset, a section of a curved beam that turns by ``d`` per unit angle about e strains the
fibre at z by ``-d kappa (z - e) / u``. On the form each strip is bent about its own
neutral fibre, on release the stack opens by w about the stack's. Across the grain, radial
equilibrium ``d(r sigma_r)/dr = sigma_theta`` gives
``sigma_r = -(kappa / u) integral of sigma_theta dz`` from the outside face.

Linear elastic: strips that were set by steam hold what their set left, strips bent cold
past their elastic limit hold less than is computed here. Tension is positive.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from overbend.bend.layup import Layup, check_curvature
from overbend.bend.section import atanh_excess, layup_section
from overbend.curve.core import Floats

__all__ = [
    "radial_from_load",
    "radial_residual",
    "stress_from_load",
    "stress_on_form",
    "stress_released",
]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_LAYERS = 8  # places in each ply at which the radial stress is given


def stress_on_form(layup: Layup, kappa: ArrayLike, kappa_set: ArrayLike | None = None) -> Floats:
    """Stress along the grain at the faces of each ply while the part is on its form.

    ``E (r - r_ni) / r`` at gluing less phi times the same at setting; no ply carries a net
    force.

    Parameters
    ----------
    layup : the stack.
    kappa, kappa_set : mid-depth curvature at gluing and at setting, any one shape [1/mm].

    Returns
    -------
    Shape kappa.shape + (plies, 2), outer then inner face [MPa].

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> strip = Layup((Ply(3.0, 12000.0),))
    >>> stress_on_form(strip, 1 / 300.0).round(1).tolist()
    [[59.8, -60.2]]
    """
    return np.asarray(_on_form(layup, *_curvatures(layup, kappa, kappa_set))(layup.faces.T))


def stress_released(layup: Layup, kappa: ArrayLike, kappa_set: ArrayLike | None = None) -> Floats:
    """Stress along the grain at the faces of each ply after release.

    That on the form less ``E w (r - r_n) / r``; neither force nor moment is left.

    Parameters
    ----------
    layup : the stack.
    kappa, kappa_set : mid-depth curvature at gluing and at setting, any one shape [1/mm].

    Returns
    -------
    Shape kappa.shape + (plies, 2), outer then inner face [MPa].

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> pair = Layup((Ply(3.0, 12000.0), Ply(3.0, 12000.0)))
    >>> stress_released(pair, 1 / 300.0).round(1).tolist()
    [[29.7, -60.0], [60.0, -30.3]]
    """
    return np.asarray(_released(layup, *_curvatures(layup, kappa, kappa_set))(layup.faces.T))


def stress_from_load(layup: Layup, kappa: ArrayLike, moment: ArrayLike) -> Floats:
    """Stress along the grain at the faces of each ply from a moment on the glued stack.

    ``E (M / K) (r - r_n) / r``, Winkler's curved beam.

    Parameters
    ----------
    layup : the stack.
    kappa : mid-depth curvature of the part [1/mm].
    moment : per unit width, positive where it opens a bend of positive curvature
        [N mm/mm]; shape of kappa.

    Returns
    -------
    Shape kappa.shape + (plies, 2), outer then inner face [MPa].

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> beam = Layup((Ply(25.0, 12000.0),))
    >>> stress_from_load(beam, 1 / 300.0, 100e3 / 30.0).round(3).tolist()
    [[-31.132, 32.912]]
    """
    k = np.asarray(kappa, float)
    check_curvature(layup, k)
    return np.asarray(_from_load(layup, k, np.asarray(moment, float))(layup.faces.T))


def radial_from_load(layup: Layup, kappa: ArrayLike, moment: ArrayLike) -> tuple[Floats, Floats]:
    """Stress across the plies from a moment on the glued stack.

    Near ``3 M / (2 R b h)`` at the neutral fibre of one material.

    Parameters
    ----------
    layup : the stack.
    kappa, moment : as for :func:`stress_from_load`.

    Returns
    -------
    Offsets z, shape (places,) [mm], from the outside face to the inside one with every
    glue line among them, and stress there, shape kappa.shape + (places,) [MPa]; tension
    where the moment opens the bend.

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> beam = Layup((Ply(25.0, 12000.0),))
    >>> _, radial = radial_from_load(beam, 1 / 300.0, 100e3 / 30.0)
    >>> round(float(radial.max()), 3)
    0.667
    """
    k = np.asarray(kappa, float)
    check_curvature(layup, k)
    return _radial(layup, k, _from_load(layup, k, np.asarray(moment, float)))


def radial_residual(
    layup: Layup, kappa: ArrayLike, kappa_set: ArrayLike | None = None
) -> tuple[Floats, Floats]:
    """Stress across the plies that is left after release; see :func:`radial_from_load`.

    Taken at the curvature on the form, a little tighter than the released one, so on the
    high side by about the springback fraction.

    Parameters
    ----------
    layup : the stack.
    kappa, kappa_set : mid-depth curvature at gluing and at setting, any one shape [1/mm].

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> pair = Layup((Ply(3.0, 12000.0), Ply(3.0, 12000.0)))
    >>> z, radial = radial_residual(pair, 1 / 300.0)
    >>> bool(abs(radial[0]) < 1e-9 and abs(radial[-1]) < 1e-9)
    True
    """
    k, c = _curvatures(layup, kappa, kappa_set)
    return _radial(layup, k, _released(layup, k, c))


# Stress along the grain as a function of offsets z, shape (places, plies), to shape
# kappa.shape + (plies, places).
_Field = Callable[[Floats], Floats]


def _curvatures(
    layup: Layup, kappa: ArrayLike, kappa_set: ArrayLike | None
) -> tuple[Floats, Floats]:
    k = np.asarray(kappa, float)
    c = k if kappa_set is None else np.asarray(kappa_set, float)
    check_curvature(layup, k)
    check_curvature(layup, c)
    return k, c


def _on_form(layup: Layup, kappa: Floats, kappa_set: Floats) -> _Field:
    def field(z: Floats) -> Floats:
        strain = _strip_strain(layup, kappa, z)
        strain -= layup.set_fraction[:, None] * _strip_strain(layup, kappa_set, z)
        return np.asarray(layup.modulus[:, None] * strain)

    return field


def _from_load(layup: Layup, kappa: Floats, moment: Floats) -> _Field:
    at = layup_section(layup, kappa)
    turn, shift = (np.asarray(a)[..., None, None] for a in (moment / at.stiffness, at.shift))

    def field(z: Floats) -> Floats:
        reach = 1.0 - kappa[..., None, None] * z.T
        return np.asarray(layup.modulus[:, None] * turn * (z.T - shift) / reach)

    return field


def _released(layup: Layup, kappa: Floats, kappa_set: Floats) -> _Field:
    held = _on_form(layup, kappa, kappa_set)
    opened = _from_load(layup, kappa, layup_section(layup, kappa, kappa_set).moment)
    return lambda z: held(z) + opened(z)


def _strip_strain(layup: Layup, kappa: Floats, z: Floats) -> Floats:
    """``(r - r_ni) / r`` of each ply."""
    k = kappa[..., None]
    t, middle = layup.thickness, layup.z
    x = 0.5 * k * t / (1.0 - k * middle)
    excess = atanh_excess(x)
    own = middle + 0.5 * t * x * excess / (1.0 + x * x * excess)
    k = k[..., None]
    return np.asarray(-k * (z.T - own[..., None]) / (1.0 - k * z.T))


def _radial(layup: Layup, kappa: Floats, field: _Field) -> tuple[Floats, Floats]:
    """Integrate the stress along the grain from the outside face inwards."""
    faces = layup.faces
    edges = faces[:, :1] + np.diff(faces) * np.linspace(0.0, 1.0, _LAYERS + 1)
    half = 0.5 * np.diff(edges)
    inside = 0.5 * (edges[:, 1:] + edges[:, :-1])[..., None] + half[..., None] * _NODES
    stress = field(inside.reshape(len(faces), -1).T)
    stress = stress.reshape(*kappa.shape, *inside.shape)
    force = ((stress @ _WEIGHTS) * half).reshape(*kappa.shape, -1)
    total = np.concatenate([np.zeros((*kappa.shape, 1)), np.cumsum(force, axis=-1)], axis=-1)
    z = np.append(edges[:, :-1].ravel(), faces[-1, 1])
    k = kappa[..., None]
    return z, np.asarray(-k / (1.0 - k * z) * total)
