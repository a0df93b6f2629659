"""The working face of a form: the line the wood, its liner and its strap lie on.

Section through the wood on its form, seen along the form; the centre of the tightest bend
is at the top, z counts from mid-depth towards it::

      one part, concave side          one part, convex side           two parts, concave side

         body of the form                    caul                        body of the form
     ------------------------ face    ------------------------       ------------------------ face 1
         liner                            wood,  +h/2                     liner
     ------------------------         - - - - mid-depth - - - -      ------------------------
         wood,  +h/2                      wood,  -h/2                     wood,  +h/2
     - - - mid-depth z = 0 - -        ------------------------       - - - - mid-depth - - - -
         wood,  -h/2                      strap                           wood,  -h/2
     ------------------------         ------------------------       ------------------------
         strap                            liner                           strap
     ------------------------         ------------------------ face  ------------------------ face 2
         caul                         body of the form                body of the second form

The face lies at ``+(h/2 + liner)`` (concave side) or ``-(h/2 + strap + liner)`` (convex
side) from mid-depth; a second part closes on the other side with no liner of its own, at
``-(h/2 + strap)`` or ``+h/2``. The two faces are ``h + liner + strap`` apart everywhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import ArcPath, Curve, Floats, OffsetCurve, arc_path
from overbend.errors import CurveError, InputError
from overbend.form.spec import FormSpec

__all__ = ["STOP_LENGTH", "Face", "faces_of", "heading_range"]

STOP_LENGTH = 30.0  # mm of run-out that the stop block sits on; common practice, no source


@dataclass(frozen=True)
class Face:
    """A form's face, addressed by the glued curve's own arc length.

    Parameters
    ----------
    glued : mid-depth line of the part on the form, from finished end to finished end.
    d : distance of the face from it, positive to the left [mm].
    reach : how far the face runs on straight beyond each end [mm].
    side : where the form's body lies: 1 to the left, -1 to the right.
    cover : thickness of all that lies on it: wood, liner and strap [mm].

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> face = Face(chain(arc(200.0, math.pi / 2)), 12.0, 50.0, 1.0, 20.0)
    >>> face.span[0], face.point(0.0).tolist(), face.point(-50.0).tolist()
    (-50.0, [0.0, 12.0], [-50.0, 12.0])
    >>> round(face.radius(100.0), 6), round(face.along(face.glued.length), 3)
    (188.0, 295.31)
    """

    glued: Curve
    d: float
    reach: float
    side: float
    cover: float = 0.0

    @cached_property
    def line(self) -> OffsetCurve:
        """The face as an offset of the extended curve; its s is ours plus the reach."""
        return self.glued.extended(self.reach, self.reach).offset(self.d)

    @property
    def span(self) -> tuple[float, float]:
        """First and last arc length of the face [mm]: below zero and above the part's."""
        return -self.reach, self.glued.length + self.reach

    def point(self, s: ArrayLike) -> Floats:
        """Position of the face at arc lengths s, shape s.shape + (2,) [mm]."""
        return self.line.point(np.asarray(s, float) + self.reach)

    def inward(self, s: ArrayLike) -> Floats:
        """Unit normal into the form's body, shape s.shape + (2,)."""
        return self.side * self.line.normal(np.asarray(s, float) + self.reach)

    def tangent(self, s: ArrayLike) -> Floats:
        """Unit tangent, shape s.shape + (2,)."""
        return self.line.base.tangent(np.asarray(s, float) + self.reach)

    def behind(self, s: ArrayLike, depth: float) -> Floats:
        """Position `depth` behind the face [mm]; below zero, in front of it."""
        return self.point(s) + depth * self.inward(s)

    def along(self, s: float) -> float:
        """Distance along the face from the finished start to s [mm]."""
        a, b = self.line.along([self.reach, s + self.reach])
        return float(b - a)

    def radius(self, s: float) -> float:
        """Radius of the face at s [mm], positive when it turns left; inf where straight."""
        k = float(self.line.kappa(s + self.reach))
        return 1.0 / k if k else math.inf

    def path(self, tolerance: float = 0.002) -> ArcPath:
        """The face as lines and arcs, from end to end with its run-outs."""
        return arc_path(self.line, tolerance)

    def samples(self, spacing: float) -> Floats:
        """Arc lengths no more than `spacing` apart over the whole face [mm]."""
        return self.line.base.grid(spacing) - self.reach


def faces_of(glued: Curve, depth_of_stack: float, spec: FormSpec) -> tuple[Face, ...]:
    """Place the face of each part of the form.

    Parameters
    ----------
    glued : mid-depth line of the part on the form; its tightest place turns left.
    depth_of_stack : h [mm].
    spec : side, parts, strap, liner, run-out and trim are read.

    Returns
    -------
    One face, or two: the first on the asked side.

    Raises
    ------
    CurveError
        When the curve's tightest place turns right, when a face would fold over, or when
        the wood and its run-outs would lie across themselves.
    InputError
        For a stack of no depth.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> inner, outer = faces_of(
    ...     chain(arc(300.0, 1.2)), 20.0, FormSpec(parts=2, liner=1.5, strap=0.8))
    >>> inner.d, outer.d, inner.reach
    (11.5, -10.8, 60.0)
    """
    if not (math.isfinite(depth_of_stack) and depth_of_stack > 0):
        raise InputError(f"a stack {depth_of_stack:g} mm deep", allowed="above zero")
    _check_turns_left(glued)
    reach = max(spec.run_out, spec.trim + STOP_LENGTH)
    first = spec.sign * (0.5 * depth_of_stack + spec.between)
    total = depth_of_stack + spec.liner + spec.strap
    second = first - spec.sign * total
    for d in (first, second):
        _check_folds(glued, d)
    faces = (
        Face(glued, first, reach, spec.sign, total),
        Face(glued, second, reach, -spec.sign, total),
    )
    _check_lies_clear(faces)
    return faces[: spec.parts]


def heading_range(curve: Curve) -> float:
    """Angle between the extreme headings of a curve [rad].

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> round(heading_range(chain(arc(100.0, 1.0), arc(100.0, -0.4))), 9)
    1.0
    """
    at = [0.0]
    for p in curve.pieces:
        if p.kappa0 * p.kappa1 < 0:
            u = p.length * p.kappa0 / (p.kappa0 - p.kappa1)
            at.append(at[-1] + 0.5 * p.kappa0 * u)
            at.append(at[-1] + 0.5 * p.kappa1 * (p.length - u))
        else:
            at.append(at[-1] + p.turn)
    return max(at) - min(at)


def _check_turns_left(glued: Curve) -> None:
    ends = [k for p in glued.pieces for k in (p.kappa0, p.kappa1)]
    if -min(ends) > max(*ends, 0.0) * (1 + 1e-9) + 1e-12:
        raise CurveError(
            f"the curve on the form turns right at its tightest, radius {-1 / min(ends):.4g} mm",
            allowed="a curve that turns left there, so that its concave face is on the left",
            todo="mirror the curve first",
        )


def _check_folds(glued: Curve, d: float) -> None:
    """Refuse a face at d that would fold over itself."""
    worst, at = 0.0, 0.0
    for s0, p in zip(glued.knots, glued.pieces, strict=False):
        for s, k in ((s0, p.kappa0), (s0 + p.length, p.kappa1)):
            if k * d > worst:
                worst, at = k * d, float(s)
    if not worst < 1.0 - 1e-9:
        raise CurveError(
            f"the form's face lies {abs(d):.4g} mm from mid-depth and would fold over "
            f"{at:.4g} mm along, where the part bends to a radius of {abs(d) / worst:.4g} mm",
            allowed=f"a mid-depth radius on the form above {abs(d):.4g} mm",
            todo="ease the curve there, or make the stack, its liner or strap thinner",
        )


def _check_lies_clear(faces: tuple[Face, Face]) -> None:
    """Refuse wood that would lie across itself on the form."""
    import shapely

    a, b = (f.point(f.samples(2.0)) for f in faces)
    if shapely.Polygon(np.concatenate([a, b[::-1]])).is_valid:
        return
    face = faces[0]
    a, b = (f.point(f.samples(2.0)) for f in (replace(f, reach=0.0) for f in faces))
    alone = shapely.Polygon(np.concatenate([a, b[::-1]])).is_valid
    raise CurveError(
        f"the wood lies across {'itself' if not alone else 'itself in its run-outs'} on the form",
        allowed="a curve whose stack, liner and strap stay clear of themselves",
        todo=f"shorten the run-out and trim, {face.reach:g} mm now" if alone
        else "open the curve, or make the stack thinner",
    )  # fmt: skip
