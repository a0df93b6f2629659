"""Lines and arcs of a path as centres, radii and angles, many at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overbend.curve import ArcPath, Floats

__all__ = ["Arcs", "Box", "arcs_of", "circle", "flattened", "path_box", "samples", "split"]

Box = tuple[float, float, float, float]
"""Smallest x, smallest y, largest x, largest y."""

_FLAT = 1e-9  # a bulge below this is a line: the sagitta is under a nanometre on 1 m


@dataclass(frozen=True, eq=False)
class Arcs:
    """The curved segments of a path.

    Parameters
    ----------
    index : which segment each is, shape (n,).
    centre : shape (n, 2) [mm].
    radius : shape (n,) [mm], > 0.
    start : angle of the first point seen from the centre, shape (n,) [rad].
    sweep : angle turned, positive counter-clockwise, shape (n,) [rad].
    """

    index: NDArray[np.intp]
    centre: Floats
    radius: Floats
    start: Floats
    sweep: Floats


def arcs_of(path: ArcPath) -> Arcs:
    """Centre, radius and angles of every curved segment of a path.

    With chord c and bulge b = tan(sweep/4), the radius is c (1 + b^2) / (4 |b|) and the
    centre lies c (1 - b^2) / (4 b) to the left of the middle of the chord.

    Parameters
    ----------
    path : lines and arcs; bulges under 1e-9 count as lines.

    Returns
    -------
    Arcs

    Examples
    --------
    >>> quarter = ArcPath(np.array([[1.0, 0.0, math.tan(math.pi / 8)], [0.0, 1.0, 0.0]]))
    >>> arcs_of(quarter).radius.round(9).tolist()
    [1.0]
    """
    a, b = path.ends
    index = np.flatnonzero(np.abs(a[:, 2]) > _FLAT)
    p, q, bulge = a[index, :2], b[index, :2], a[index, 2]
    chord = q - p
    left = np.column_stack([-chord[:, 1], chord[:, 0]])
    centre = 0.5 * (p + q) + left * ((1.0 - bulge**2) / (4.0 * bulge))[:, None]
    radius = np.hypot(chord[:, 0], chord[:, 1]) * (1.0 + bulge**2) / (4.0 * np.abs(bulge))
    start = np.arctan2(p[:, 1] - centre[:, 1], p[:, 0] - centre[:, 0])
    return Arcs(index, centre, radius, start, 4.0 * np.arctan(bulge))


def path_box(path: ArcPath) -> Box:
    """Smallest box round a path, exact for arcs [mm].

    Examples
    --------
    >>> half = ArcPath(np.array([[1.0, 0.0, 1.0], [-1.0, 0.0, 0.0]]))
    >>> [round(v, 9) for v in path_box(half)]
    [-1.0, 0.0, 1.0, 1.0]
    """
    points = [path.vertices[:, :2]]
    if not (np.abs(path.vertices[:, 2]) > _FLAT).any():
        (x0, y0), (x1, y1) = points[0].min(axis=0).tolist(), points[0].max(axis=0).tolist()
        return x0, y0, x1, y1
    arcs = arcs_of(path)
    for quarter in range(4):
        angle = 0.5 * math.pi * quarter
        ahead = np.mod(np.sign(arcs.sweep) * (angle - arcs.start), 2.0 * math.pi)
        inside = ahead <= np.abs(arcs.sweep)
        way = np.array([math.cos(angle), math.sin(angle)])
        points.append(arcs.centre[inside] + arcs.radius[inside, None] * way)
    xy = np.concatenate(points)
    (x0, y0), (x1, y1) = xy.min(axis=0), xy.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def circle(x: float, y: float, radius: float) -> ArcPath:
    """Closed path of two half circles [mm].

    Examples
    --------
    >>> round(circle(5, 2, 10).length / math.pi, 9)
    20.0
    """
    return ArcPath(np.array([[x + radius, y, 1.0], [x - radius, y, 1.0]]), closed=True)


def split(path: ArcPath, limit: float) -> ArcPath:
    """Return the same path with every arc cut into equal parts turning at most `limit` [rad].

    Examples
    --------
    >>> len(split(circle(0, 0, 1), math.pi / 4).vertices)
    8
    """
    a, b = path.ends
    rows = [_split_segment(p, q, limit) for p, q in zip(a, b, strict=True)]
    last = [] if path.closed else [path.vertices[-1:]]
    return ArcPath(np.concatenate([*rows, *last]), path.closed)


def _split_segment(p: Floats, q: Floats, limit: float) -> Floats:
    """Vertices from p up to but without q."""
    sweep = 4.0 * math.atan(p[2])
    n = max(1, math.ceil(abs(sweep) / limit - 1e-9))
    if n == 1:
        return p[None]
    chord = q[:2] - p[:2]
    t = np.arange(n) / n
    reach = np.sin(0.5 * sweep * t) / math.sin(0.5 * sweep)
    tilt = -0.5 * sweep * (1.0 - t)
    c, s = np.cos(tilt), np.sin(tilt)
    x = p[0] + reach * (c * chord[0] - s * chord[1])
    y = p[1] + reach * (s * chord[0] + c * chord[1])
    return np.column_stack([x, y, np.full(n, math.tan(0.25 * sweep / n))])


def flattened(path: ArcPath, tolerance: float) -> Floats:
    """Points on a path no further than `tolerance` from it between them, shape (n, 2) [mm].

    As :meth:`ArcPath.flatten`, at once where there are only straight lines.

    Examples
    --------
    >>> flattened(ArcPath.polyline(np.array([[0.0, 0.0], [10.0, 0.0]])), 0.1).tolist()
    [[0.0, 0.0], [10.0, 0.0]]
    """
    if path.vertices[:, 2].any():
        return path.flatten(tolerance)
    return path.vertices[:, :2]


def samples(path: ArcPath, spacing: float) -> Floats:
    """Points along a path no more than `spacing` apart, vertices among them, (n, 2) [mm].

    Between neighbours the path strays less than a fiftieth of the spacing from the chord.

    Examples
    --------
    >>> len(samples(ArcPath.polyline(np.array([[0.0, 0.0], [10.0, 0.0]])), 1.0))
    11
    """
    xy = flattened(path, spacing / 50.0)
    if path.closed:
        xy = np.vstack([xy, xy[:1]])
    step = np.hypot(*np.diff(xy, axis=0).T)
    count = np.maximum(1, np.ceil(step / spacing)).astype(int)
    along = np.concatenate([[0.0], np.cumsum(step)])
    within = np.concatenate([np.arange(n) / n for n in count]) if count.size else np.zeros(0)
    at = np.append(np.repeat(along[:-1], count) + within * np.repeat(step, count), along[-1])
    return np.column_stack([np.interp(at, along, xy[:, 0]), np.interp(at, along, xy[:, 1])])
