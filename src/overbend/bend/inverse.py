"""The overbent form: the line on which to glue so that the part relaxes into its target."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from overbend.bend.carry import Carried, Stretches, carry, stretches
from overbend.bend.layup import Layup, check_curve
from overbend.bend.release import Relaxation, release_rates
from overbend.bend.section import layup_section
from overbend.curve.core import Curve, Floats
from overbend.errors import LayupError

__all__ = ["form_curvature", "form_for", "overbent"]

_PASSES = 3  # rounds to settle which place on the setting form a place on the target is
_STEPS = 40
_KEPT_AT_LEAST = 0.02  # share of the gluing form's bend that must survive release


def form_curvature(layup: Layup, kappa: Floats, kappa_set: Floats | None = None) -> Floats:
    """Mid-depth curvature on the gluing form that relaxes to given curvatures.

    Newton's method on ``(kappa_f - lost) / (1 - shift lost) = kappa``, station by station.

    Parameters
    ----------
    layup : the stack.
    kappa : mid-depth curvature after release, any shape [1/mm].
    kappa_set : curvature at which the strips took their set; None: that of gluing.

    Raises
    ------
    LayupError
        When the plies keep next to nothing of the form's bend, or only a form tighter
        than the stack can follow would do.

    Examples
    --------
    >>> stack = Layup.equal(2, 3.0, 11000.0)
    >>> form_curvature(stack, np.array([0.0, 0.003])).round(6).tolist()
    [0.0, 0.004]
    """
    kept, given = _straight_limit(layup, kappa_set is None)
    if kept < _KEPT_AT_LEAST:
        raise _keeps_nothing(kappa_set is not None)
    limit = 2.0 / layup.depth * (1.0 - 1e-6)
    brought = 0.0 if kappa_set is None else given * kappa_set
    found = np.clip((kappa - brought) / kept, -0.9 * limit, 0.9 * limit)
    bump = 1e-6 / layup.depth * np.array([-1.0, 0.0, 1.0]).reshape(3, *([1] * kappa.ndim))
    for _ in range(_STEPS):
        low, here, high = _relaxed(layup, found + bump, kappa_set)
        step = (here - kappa) * (2e-6 / layup.depth) / (high - low)
        new = np.clip(found - step, -limit, limit)
        moved = float(np.abs(new - found).max(initial=0.0))
        found = new
        if moved <= 1e-13 / layup.depth:
            break
    _check_reached(layup, found, kappa, limit)
    return np.asarray(found)


def _relaxed(layup: Layup, kappa: Floats, kappa_set: Floats | None) -> Floats:
    turn, length = release_rates(layup, kappa, kappa_set)
    return turn / length


def _straight_limit(layup: Layup, same_form: bool) -> tuple[float, float]:
    """Shares of the gluing and of the setting form's curvature kept, in thin stacks."""
    stiff = float(layup_section(layup, np.zeros(())).stiffness)
    strips = layup.modulus * layup.thickness**3 / 12.0
    brought = float((layup.set_fraction * strips).sum() / stiff)
    kept = 1.0 - float(strips.sum() / stiff)
    return (kept + brought, 0.0) if same_form else (kept, brought)


def _keeps_nothing(own_form: bool) -> LayupError:
    if own_form:
        return LayupError(
            "a single strip is not glued: its shape comes from the form on which it set",
            allowed="two laminations or more with a gluing form of their own",
            todo="leave out the separate setting form",
        )
    return LayupError(
        "no form can bend this stack: it would spring back almost straight",
        allowed=f"a stack that keeps at least {_KEPT_AT_LEAST:.0%} of the form's bend",
        todo="laminate from thinner strips, or steam the wood and dry it on the form",
    )


def _check_reached(layup: Layup, found: Floats, kappa: Floats, limit: float) -> None:
    beyond = np.abs(found) >= limit * (1.0 - 1e-9)
    if not beyond.any():
        return
    worst = float(np.abs(kappa[beyond]).min())
    raise LayupError(
        f"a released mid-depth radius of {1.0 / worst:.4g} mm needs a form tighter than a "
        f"stack {layup.depth:g} mm deep can follow",
        allowed=f"a radius on the form above {layup.depth / 2:g} mm",
        todo="ease the curve there, use thinner strips or make the stack thinner",
    )


def overbent(layup: Layup, target: Curve, set_curve: Curve | None = None) -> Relaxation:
    """Return the form for a target, with which place is which; see :func:`form_for`.

    `released` in the result is the target itself.

    Examples
    --------
    >>> from overbend.curve.core import Piece
    >>> leg = Curve((Piece(250.0, 0.004, 0.004),), stations={"rail": 100.0})
    >>> made = overbent(Layup.equal(3, 4.0, 11000.0), leg)
    >>> made.form.turn > made.released.turn == leg.turn
    True
    """
    check_curve(layup, target, "target")
    if set_curve is None:
        done = _carried(layup, target, stretches(target), None)
        return Relaxation(done.curve, target, done.s_new, done.s_old)
    check_curve(layup, set_curve, "setting form")
    places = (target.knots, target.knots)
    for _ in range(_PASSES):
        done = _carried(layup, target, stretches(target, set_curve, places), set_curve)
        places = (done.s_new, done.s_old)
    return Relaxation(done.curve, target, done.s_new, done.s_old)


def _carried(layup: Layup, target: Curve, along: Stretches, set_curve: Curve | None) -> Carried:
    return carry(target, along, _inverse_rates(layup, set_curve is not None))


def _inverse_rates(
    layup: Layup, separate: bool
) -> Callable[[Floats, Floats], tuple[Floats, Floats]]:
    """Turn and length on the form per length of the target."""

    def rates(kappa: Floats, kappa_set: Floats) -> tuple[Floats, Floats]:
        given = kappa_set if separate else None
        on_form = form_curvature(layup, kappa, given)
        _, length = release_rates(layup, on_form, given)
        return on_form / length, 1.0 / length

    return rates


def form_for(layup: Layup, target: Curve, set_curve: Curve | None = None) -> Curve:
    """Mid-depth line on the form whose release is the target.

    Parameters
    ----------
    layup : the stack, outside in where the target's curvature is positive.
    target : mid-depth line after release.
    set_curve : mid-depth line on the form on which the strips took their set, its length
        within 1 % of the gluing form's; None: they set on the form on which they are glued.

    Returns
    -------
    A curve that starts where and as the target does; named stations keep to their
    material points. ``release(layup, form_for(layup, target))`` follows the target within
    0.002 mm over 3 m.

    Raises
    ------
    LayupError
        When no form can do it.

    Examples
    --------
    >>> from overbend.curve.core import Piece
    >>> target = Curve((Piece(300.0, 0.003, 0.003),))
    >>> form = form_for(Layup.equal(2, 3.0, 11000.0), target)
    >>> round(form.pieces[0].kappa0, 6)
    0.004
    """
    return overbent(layup, target, set_curve).form
