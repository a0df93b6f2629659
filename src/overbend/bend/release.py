"""Springback: the line a glued part relaxes to when it leaves its form.

Gluing locks in the moment that the strips would need to straighten on their own; off the
form the stack gives way to it, at its own, much larger stiffness, about its neutral
fibre, which keeps its length. See :mod:`overbend.bend.section` for the section's
equations; they are those of a curved beam with every ply at its own radius.

For one material the stiffness is that of Winkler's curved beam; the form for several
plies is checked against plane finite elements in ``tests/validation/springback_fem.py``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from overbend.bend.carry import carry, stretches
from overbend.bend.layup import Layup, check_curvature, check_curve
from overbend.bend.section import layup_section
from overbend.curve.core import Curve, Floats

__all__ = ["Relaxation", "relax", "release", "release_fraction", "release_rates"]


@dataclass(frozen=True, eq=False)
class Relaxation:
    """A line on the form, the line it relaxes to, and which place is which.

    Parameters
    ----------
    form : mid-depth line while the part is on its form.
    released : mid-depth line after release; starts where and as `form` does.
    s_form, s_released : arc lengths of the same material points, ends included [mm].
    """

    form: Curve
    released: Curve
    s_form: Floats
    s_released: Floats

    def to_released(self, s_form: ArrayLike) -> Floats:
        """Arc length after release of places given on the form [mm]."""
        return np.asarray(np.interp(np.asarray(s_form, float), self.s_form, self.s_released))

    def to_form(self, s_released: ArrayLike) -> Floats:
        """Arc length on the form of places given after release [mm]."""
        return np.asarray(np.interp(np.asarray(s_released, float), self.s_released, self.s_form))


def release_rates(
    layup: Layup, kappa: Floats, kappa_set: Floats | None = None
) -> tuple[Floats, Floats]:
    """Turn [rad/mm] and length [mm/mm] after release, per mid-depth length on the form.

    The neutral fibre, at offset e, keeps its length ``1 - kappa e``; the section turns
    ``(1 - w) kappa``; so the mid-depth line becomes ``1 - e w kappa`` long.

    Parameters
    ----------
    layup : the stack.
    kappa, kappa_set : mid-depth curvature at gluing and at setting, any shape [1/mm].
    """
    at = layup_section(layup, kappa, kappa_set)
    return kappa - at.lost, 1.0 - at.shift * at.lost


def release_fraction(layup: Layup, kappa: ArrayLike, kappa_set: ArrayLike | None = None) -> Floats:
    """Springback fraction w: angle lost on release per unit angle on the form.

    ``w = m0 / K`` with each ply at its own radius. In thin stacks of like plies bent cold
    it is ``1 / n^2``; for one ply it is ``1 - phi``.

    Parameters
    ----------
    layup : the stack.
    kappa : mid-depth curvature at which the stack is glued, any shape [1/mm].
    kappa_set : mid-depth curvature at which the strips took their set, stacked in the
        same order; None: that of the gluing form.

    Returns
    -------
    Shape of kappa. Where kappa is zero: its limit, or infinite when the strips bring a
    set of their own to a straight form.

    Raises
    ------
    LayupError
        Where the inner face would fold over.

    Notes
    -----
    Linear elastic. Against plane finite elements: within 1 % to depth / radius 1/10,
    1.5 % at 1/5 isotropic, 3 % at 1/5 with the across-grain modulus 0.12 of that along,
    for moduli within a factor 1.75 of each other; at a factor 4 the miss at 1/5 reaches
    2.5 %.

    Examples
    --------
    >>> w = release_fraction(Layup.equal(4, 3.0, 11000.0), [0.0, 1 / 240])
    >>> w.round(5).tolist()
    [0.0625, 0.0625]
    """
    k = np.asarray(kappa, float)
    check_curvature(layup, k)
    if kappa_set is None:
        straight = k == 0.0
        safe = np.where(straight, 1e-9 / layup.depth, k)
        return np.asarray(layup_section(layup, safe).lost / safe)
    c = np.asarray(kappa_set, float)
    check_curvature(layup, c)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(layup_section(layup, k, c).lost / k)


def relax(layup: Layup, glued: Curve, set_curve: Curve | None = None) -> Relaxation:
    """Release a part from its form, keeping track of material points.

    Parameters
    ----------
    layup : the stack, outside in where the curvature is positive.
    glued : mid-depth line on the form on which the stack is glued.
    set_curve : mid-depth line on the form on which the strips took their set, its length
        within 1 % of the other's; a material point sits at the same fraction of both.
        None: the same form.

    Raises
    ------
    LayupError
        Where the stack cannot follow either form.

    Examples
    --------
    >>> from overbend.curve.core import Piece
    >>> quarter = Curve((Piece(300.0, 0.0, 0.005), Piece(200.0, 0.005, 0.005)))
    >>> off = relax(Layup.equal(3, 4.0, 11000.0), quarter)
    >>> round(off.released.turn / quarter.turn, 3)
    0.889
    """
    check_curve(layup, glued, "form")
    if set_curve is not None:
        check_curve(layup, set_curve, "setting form")

    def rates(kappa: Floats, kappa_set: Floats) -> tuple[Floats, Floats]:
        return release_rates(layup, kappa, None if set_curve is None else kappa_set)

    done = carry(glued, stretches(glued, set_curve), rates)
    return Relaxation(glued, done.curve, done.s_old, done.s_new)


def release(layup: Layup, glued: Curve, set_curve: Curve | None = None) -> Curve:
    """Mid-depth line after release from the form; see :func:`relax`.

    It starts where and as the line on the form does; lay it on the target with
    :func:`overbend.bend.placing.lay_on`. Named stations keep to their material points.
    Lines and arcs come out as exact lines and arcs.

    Examples
    --------
    >>> from overbend.curve.core import Piece
    >>> arc = Curve((Piece(400.0, 0.005, 0.005),))
    >>> released = release(Layup.equal(2, 3.0, 11000.0), arc)
    >>> round(released.pieces[0].kappa0 / 0.005, 4)
    0.75
    """
    return relax(layup, glued, set_curve).released
