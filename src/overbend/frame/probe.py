"""Asking a part about points and lines: how deep inside, through which face, how far."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.frame.solid import FACES, Body, FaceName

__all__ = ["Hit", "Local", "crossings", "find_root", "local", "outside", "way_out"]

_SAMPLES = 25
_EXACT = 1e-9  # mm
_STEPS = 40
_NEWTON = 8


@dataclass(frozen=True, eq=False)
class Local:
    """Points in a part's own measure.

    Parameters
    ----------
    s : nearest station, shape (n,) [mm].
    z, w : to the left of the line and across its plane, shape (n,) [mm].
    beyond : out of each of the six faces, in the order of ``FACES``; negative inside,
        shape (n, 6) [mm].
    """

    s: Floats
    z: Floats
    w: Floats
    beyond: Floats

    @property
    def depth(self) -> Floats:
        """How far outside the part, negative inside; exact at the surface, shape (n,) [mm]."""
        return np.asarray(self.beyond.max(axis=1))

    @property
    def distance(self) -> Floats:
        """Straight distance from the part, past its edges too; negative inside, (n,) [mm]."""
        out = np.maximum(self.beyond, 0.0)
        sides = np.maximum(out[:, 0::2], out[:, 1::2])
        away = np.sqrt((sides**2).sum(axis=1))
        return np.asarray(np.where(away > 0.0, away, self.depth))

    def face(self, i: int) -> FaceName:
        """Face the point is on or nearest to from inside."""
        return FACES[int(self.beyond[i].argmax())]


def local(body: Body, points: Floats) -> Local:
    """Measure points along, beside and across a part.

    Parameters
    ----------
    body : the part.
    points : in the piece, shape (n, 3) [mm].

    Examples
    --------
    >>> from overbend.frame.midline import straight_line
    >>> from overbend.frame.placement import plane_pose
    >>> bar = Body("a", "a", straight_line(500.0), 60.0, 20.0, plane_pose("side"))
    >>> local(bar, np.array([[100.0, 0.0, 12.0]])).depth.tolist()
    [2.0]
    """
    own = body.pose.local_point(points)
    s, z, past = body.line.nearest(own[:, :2])
    w = own[:, 2]
    beyond = np.empty((len(own), 6))
    beyond[:, 0], beyond[:, 1] = z - 0.5 * body.depth, -z - 0.5 * body.depth
    beyond[:, 2], beyond[:, 3] = w - 0.5 * body.width, -w - 0.5 * body.width
    beyond[:, 4] = np.where(s <= 0.5 * body.length, past, s - body.length)
    beyond[:, 5] = np.where(s > 0.5 * body.length, past, -s)
    if body.line.straight:
        beyond[:, 4:] = _past_ends(body, points)
    return Local(s, z, w, beyond)


def _past_ends(body: Body, points: Floats) -> Floats:
    """Distance beyond the planes of both ends of a straight part, shape (n, 2) [mm]."""
    ends = body.point([0.0, body.length])
    rows = [(points - ends[k]) @ body.end_normal(k) for k in (0, 1)]
    return np.stack(rows, axis=1)


def outside(body: Body, points: Floats) -> Floats:
    """How far points are outside a part, negative inside, shape (n,) [mm]."""
    return local(body, points).depth


@dataclass(frozen=True, eq=False)
class Hit:
    """Where a line goes through the surface of a part.

    Parameters
    ----------
    t : distance along the line [mm].
    point : shape (3,) [mm].
    s : station of the part there [mm].
    face : which face.
    normal : outward normal of that face there, shape (3,).
    """

    t: float
    point: Floats
    s: float
    face: FaceName
    normal: Floats


def crossings(
    body: Body, origin: ArrayLike, way: ArrayLike, low: float, high: float
) -> tuple[Hit, ...]:
    """Every place where a line goes into or out of a part.

    Parameters
    ----------
    body : the part.
    origin : a point of the line, shape (3,) [mm].
    way : its direction, a unit vector, shape (3,).
    low, high : stretch looked at, distances from the origin [mm].

    Returns
    -------
    tuple of Hit
        In order along the line. Two crossings closer than a 24th of the stretch may be missed.
    """
    start, along = np.asarray(origin, float), np.asarray(way, float)

    def depth(at: float) -> float:
        return float(outside(body, (start + at * along)[None])[0])

    t = np.linspace(low, high, _SAMPLES)
    f = outside(body, start + t[:, None] * along)
    hits = []
    for k in np.flatnonzero((f[:-1] > 0.0) != (f[1:] > 0.0)).tolist():
        root = find_root(depth, (float(t[k]), float(f[k])), (float(t[k + 1]), float(f[k + 1])))
        hits.append(_hit(body, start, along, root))
    return tuple(hits)


def find_root(f: Callable[[float], float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """Root of a function between two places of unlike sign, by the Illinois method.

    Parameters
    ----------
    f : the function.
    a, b : places and the function's values there.

    Examples
    --------
    >>> round(find_root(lambda t: t * t - 2.0, (1.0, -1.0), (2.0, 2.0)), 9)
    1.414213562
    """
    (t0, f0), (t1, f1) = a, b
    for _ in range(_STEPS):
        if abs(t1 - t0) < _EXACT or f1 == f0:
            break
        t = t1 - f1 * (t1 - t0) / (f1 - f0)
        value = f(t)
        if abs(value) < _EXACT:
            return t
        if (value > 0.0) != (f1 > 0.0):
            t0, f0 = t1, f1
        else:
            f0 *= 0.5
        t1, f1 = t, value
    return t1


def _hit(body: Body, start: Floats, along: Floats, t: float) -> Hit:
    point = start + t * along
    here = local(body, point[None])
    face, s = here.face(0), float(here.s[0])
    return Hit(float(t), point, s, face, body.face_normal(face, s))


def way_out(body: Body, origin: ArrayLike, way: ArrayLike, reach: float = 0.0) -> Hit | None:
    """First place where a line leaves a part.

    Parameters
    ----------
    body : the part.
    origin : a point inside it, shape (3,) [mm].
    way : direction, a unit vector, shape (3,).
    reach : how far to look [mm]; 0: as far as the part can be.

    Returns
    -------
    Hit or None
        None when the line does not leave it within reach.
    """
    start, along = np.asarray(origin, float), np.asarray(way, float)
    far = reach or float(np.linalg.norm(body.box[1] - body.box[0])) + 1.0
    if body.line.straight:
        return _straight_way_out(body, start, along, far)
    quick = _newton_way_out(body, start, along)
    if quick is not None and quick.t <= far:
        return quick
    step = 1.5 * max(math.hypot(body.width, body.depth), 1.0)
    low = 0.0
    while low < far:
        found = crossings(body, start, along, low, min(low + step, far))
        if found:
            return found[0]
        low += step
    return None


def _newton_way_out(body: Body, start: Floats, along: Floats) -> Hit | None:
    """The face the line is heading for, by Newton steps; None where that is not sure."""
    here = local(body, start[None])
    axes = body.axes(float(here.s[0]))
    left, across = float(along @ axes[:, 1]), float(along @ axes[:, 2])
    rate = np.array([left, -left, across, -across])
    ahead = np.where(rate > 0.05, -here.beyond[0, :4] / np.where(rate > 0.05, rate, 1.0), np.inf)
    t = float(ahead.min())
    for _ in range(_NEWTON):
        if not 0.0 <= t < 1e6:
            return None
        there = local(body, (start + t * along)[None])
        f, face, s = float(there.depth[0]), there.face(0), float(there.s[0])
        normal = body.face_normal(face, s)
        slope = float(along @ normal)
        if abs(f) < _EXACT:
            inside = float(outside(body, (start + 0.5 * t * along)[None])[0]) < 1e-6
            return Hit(t, start + t * along, s, face, normal) if inside and slope > 0 else None
        if slope < 0.05:
            return None
        t -= f / slope
    return None


def _straight_way_out(body: Body, start: Floats, along: Floats, far: float) -> Hit | None:
    """The same for a straight part: the first of six planes."""
    here = local(body, start[None])
    axes = body.axes(0.0)
    left, across = float(along @ axes[:, 1]), float(along @ axes[:, 2])
    ends = [float(along @ body.end_normal(k)) for k in (0, 1)]
    rate = np.array([left, -left, across, -across, *ends])
    ahead = np.where(rate > 1e-12, -here.beyond[0] / np.where(rate > 1e-12, rate, 1.0), np.inf)
    k = int(ahead.argmin())
    t = float(ahead[k])
    if not 0.0 <= t <= far:
        return None
    s = min(max(float(here.s[0]) + t * float(along @ axes[:, 0]), 0.0), body.length)
    return Hit(t, start + t * along, s, FACES[k], body.face_normal(FACES[k], s))
