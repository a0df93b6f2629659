"""From what was measured on a form already made, back to the line it bends the wood to.

Chord and rise of the face, or three or four points on it, say how much tighter or wider
than planned the form came out: the planned curvature times one factor. Five points or more
are enough to lay a fair curve of its own through them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from overbend.bend.carry import carry, stretches
from overbend.curve import Curve, Floats, OffsetCurve, Piece
from overbend.curve.fair import through
from overbend.errors import CurveError
from overbend.form.check import chord_and_rise
from overbend.form.face import Face

__all__ = ["MadeForm", "made_from_chord", "made_from_points"]

_ENOUGH = 5  # points that carry a curve of their own
_CLOSE = 0.999  # share of the curvature at which a face would fold
_WIDEST = 3.0  # times tighter than planned: further off it is another form
_FLAT = 0.01  # of the planned curvature: flatter than this it is another form
_TRIALS = 15


@dataclass(frozen=True, eq=False)
class MadeForm:
    """A form as made.

    Parameters
    ----------
    glued : mid-depth line of the part on it, in the plan's coordinates, laid so that the
        face's chords run the same way from the same start.
    misfit : greatest of what was measured less what this line gives [mm].
    tighter : angle bent over angle planned, bends to either side counted.
    apart : greatest distance between its face and the planned one, so laid [mm].
    """

    glued: Curve
    misfit: float
    tighter: float
    apart: float


def made_from_chord(planned: Curve, d: float, chord: float, rise: float) -> MadeForm:
    """Work out the line on a made form from chord and rise of its face.

    Parameters
    ----------
    planned : mid-depth line the form was drawn for, between the finished ends.
    d : distance of the face from it, positive to the left [mm].
    chord : straight distance between the trim lines on the face [mm].
    rise : greatest distance of the face from that chord [mm].

    Returns
    -------
    MadeForm
        The planned line with its curvature times one factor, lengths kept; the factor
        splits the two measurements' differences by least squares. The misfit says how
        well they agree with each other.

    Raises
    ------
    CurveError
        Sizes that are not above zero, or further from the plan than one form can be.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> made = made_from_chord(chain(arc(510.0, 1.0)), 10.0, 478.0, 63.7)
    >>> round(made.tighter, 3), round(made.misfit, 2)
    (1.037, 0.44)
    """
    _check_bent(planned)
    if not (chord > 0 and rise > 0 and math.isfinite(chord + rise)):
        raise CurveError(
            f"a face with a chord of {chord:g} mm and a rise of {rise:g} mm",
            allowed="both above zero",
            todo="measure between the trim lines",
        )

    def miss(face: Face) -> Floats:
        got, high, _ = chord_and_rise(face)
        return np.array([got - chord, abs(high) - rise])

    return _scaled_to(planned, d, miss)


def made_from_points(planned: Curve, d: float, points: ArrayLike) -> MadeForm:
    """Work out the line on a made form from points on its face.

    Parameters
    ----------
    planned : mid-depth line the form was drawn for, between the finished ends.
    d : distance of the face from it, positive to the left [mm].
    points : measured from the face's trim line at the start to the one at the end, in
        order, in any coordinates, shape (n, 2), n >= 3 [mm].

    Returns
    -------
    MadeForm
        From three or four points the planned line with its curvature times one factor;
        from five or more the fairest curve through them, which meets them all.

    Raises
    ------
    CurveError
        Fewer than three points, or points that no such curve fits.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> curve = chain(arc(510.0, 1.0))
    >>> on_face = Face(curve.moved(30.0, -8.0, 0.4), 10.0, 0.0, 1.0).point(curve.even_grid(7))
    >>> made = made_from_points(chain(arc(530.0, 510 / 530)), 10.0, on_face)
    >>> round(made.glued.tightest[1] * 510, 6), round(made.tighter, 4)
    (1.0, 1.0392)
    """
    _check_bent(planned)
    xy = np.asarray(points, float)
    if xy.ndim != 2 or xy.shape[1:] != (2,) or len(xy) < 3 or not np.isfinite(xy).all():
        raise CurveError(
            f"{len(xy) if xy.ndim == 2 else 0} points on a form",
            allowed="three points or more, each with x and y",
            todo="measure the trim lines and at least one place between them",
        )
    facing = _facing(_on_chord(xy), _face(planned, d))
    if len(xy) < _ENOUGH:
        return _scaled_to(planned, d, lambda face: _point_misses(face, facing))
    return _laid(planned, d, _mid_line(through(facing), planned, d), 0.0)


# -- one factor ------------------------------------------------------------------------


def _scaled_to(planned: Curve, d: float, miss: Callable[[Face], Floats]) -> MadeForm:
    """The planned line times the factor that misses least."""
    from scipy.optimize import minimize_scalar

    worst = max(k * d for p in planned.pieces for k in (p.kappa0, p.kappa1))
    most = min(_WIDEST, _CLOSE / worst) if worst > 0 else _WIDEST

    def cost(factor: float) -> float:
        return float((miss(_face(_scaled(planned, factor), d)) ** 2).sum())

    trials = most * np.linspace(0.0, 1.0, _TRIALS + 1)[1:]
    best = float(trials[int(np.argmin([cost(float(f)) for f in trials]))])
    low, high = max(best - most / _TRIALS, _FLAT), min(best + most / _TRIALS, most)
    factor = float(minimize_scalar(cost, bounds=(low, high), options={"xatol": 1e-8}).x)
    if not 2.0 * _FLAT < factor < 0.99 * most:
        raise CurveError(
            "the measurements do not fit a form for this part",
            allowed="a form between flat and a few times tighter than planned",
            todo="check which face and between which marks was measured",
        )
    made = _scaled(planned, factor)
    return _laid(planned, d, made, float(np.abs(miss(_face(made, d))).max()))


def _scaled(curve: Curve, factor: float) -> Curve:
    """The same lengths with the curvature times a factor."""
    pieces = tuple(Piece(p.length, factor * p.kappa0, factor * p.kappa1) for p in curve.pieces)
    return replace(curve, pieces=pieces)


def _point_misses(face: Face, points: Floats) -> Floats:
    """What the face's ends and the points between miss each other by [mm].

    The first point lies on the face's start, the chords run the same way.
    """
    s = np.linspace(0.0, face.glued.length, 400)
    line = _on_chord(face.point(s))
    ends = np.array([line[-1, 0] - points[-1, 0]])
    inner = [_distance(line, p) for p in points[1:-1]]
    return np.concatenate([ends, inner])


def _distance(line: Floats, point: Floats) -> float:
    """Distance from a point to a line through many points [mm]."""
    a, v = line[:-1], np.diff(line, axis=0)
    t = np.clip(((point - a) * v).sum(axis=1) / (v * v).sum(axis=1), 0.0, 1.0)
    return float(np.hypot(*(a + t[:, None] * v - point).T).min())


# -- a curve of its own ----------------------------------------------------------------


def _mid_line(face: Curve, planned: Curve, d: float) -> Curve:
    """Mid-depth line of a face's own line, with the plan's stations."""
    OffsetCurve(face, -d)

    def rates(kappa: Floats, _: Floats) -> tuple[Floats, Floats]:
        return kappa, 1.0 + kappa * d

    bare = replace(face, stations={})
    mid = carry(bare, stretches(bare), rates).curve
    start = face.point(0.0) - d * face.normal(0.0)
    share = mid.length / planned.length
    return Curve(
        mid.pieces,
        (float(start[0]), float(start[1])),
        face.heading,
        {name: min(s * share, mid.length) for name, s in planned.stations.items()},
    )


def _on_chord(xy: Floats) -> Floats:
    """Points from the first, x towards the last."""
    u = xy[-1] - xy[0]
    u = u / math.hypot(*u)
    return np.asarray((xy - xy[0]) @ np.array([[u[0], -u[1]], [u[1], u[0]]]))


def _facing(points: Floats, plan: Face) -> Floats:
    """Points on their chord, turned over when they were measured from the other side."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    there = _on_chord(plan.point(along / along[-1] * plan.glued.length))
    over = points * np.array([1.0, -1.0])
    return min((points, over), key=lambda xy: float(((xy - there) ** 2).sum()))


def _face(glued: Curve, d: float) -> Face:
    return Face(glued, d, 0.0, math.copysign(1.0, d))


def _laid(planned: Curve, d: float, made: Curve, misfit: float) -> MadeForm:
    """Lay a made line on the plan by the chords of the faces, and compare."""
    there, here = _face(planned, d), _face(made, d)
    a, b = there.point(np.array([0.0, planned.length]))
    p, q = here.point(np.array([0.0, made.length]))
    turn = math.atan2(*(b - a)[::-1]) - math.atan2(*(q - p)[::-1])
    glued = made.moved(-p[0], -p[1]).moved(turn=math.remainder(turn, math.tau))
    glued = glued.moved(a[0], a[1])
    face = _face(glued, d)
    gaps = there.point(planned.even_grid(200)) - face.point(glued.even_grid(200))
    tighter = _swept(glued) / _swept(planned)
    return MadeForm(glued, misfit, tighter, float(np.hypot(*gaps.T).max()))


def _swept(curve: Curve) -> float:
    """Angle bent, to the left or right [rad]."""
    return math.fsum(_swept_by(p.kappa0, p.kappa1) * p.length for p in curve.pieces)


def _swept_by(a: float, b: float) -> float:
    """Mean size of a curvature that runs evenly from a to b [1/mm]."""
    if a * b >= 0.0:
        return 0.5 * abs(a + b)
    return 0.5 * (a * a + b * b) / abs(a - b)


def _check_bent(planned: Curve) -> None:
    if not _swept(planned) > 1e-6:
        raise CurveError(
            "a measured form for a straight part", allowed="a part whose curve is bent somewhere"
        )
