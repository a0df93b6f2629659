"""A curve written as lines and circular arcs, as drawings and cutting files want it.

Lines and arcs, and their offsets, come out exact. Stretches whose curvature changes are
followed by biarcs: two arcs that meet tangentially, share the curve's position and heading
at both ends of their span, and depart from it in between by about ``|kappa'| h^3 / 324``
(``h`` the span, ``kappa'`` the change of curvature per length).
"""

from __future__ import annotations

import math

import numpy as np

from overbend.curve.core import Curve, Floats, OffsetCurve, Piece
from overbend.curve.path import FLAT, ArcPath
from overbend.errors import CurveError

__all__ = ["arc_path", "path_deviation", "path_distance"]

_SAME = 1e-9  # mm: departures below this count as nothing
_ROUNDING = 1e-11  # mm
_SAMPLES = 24  # parts each biarc is looked at in; thirds, where it departs most, are among them
_AIM = 0.98  # share of the tolerance used: between samples it may be 1.2 % more
_WIDEST = math.pi  # rad: one arc never sweeps more, so that every file format can hold it
_BIARC_WIDEST = 1.5  # rad: a biarc over more than this is no longer close to its estimate
_MOST_SPANS = 100_000


def arc_path(
    curve: Curve | OffsetCurve,
    tolerance: float = 0.002,
    s0: float | None = None,
    s1: float | None = None,
) -> ArcPath:
    """Write a curve, or a stretch of it, as lines and arcs.

    Joints are tangential wherever the curve itself is. Constant curvature gives exact
    arcs (two or more when they sweep over half a turn), varying curvature biarcs, spread
    so that each departs equally and as few as hold the tolerance.

    Parameters
    ----------
    curve : the curve, or an offset of one.
    tolerance : greatest distance between curve and path [mm], > 0.
    s0, s1 : stretch to write, arc length of the base curve [mm]; default both ends.

    Returns
    -------
    ArcPath
        Open path from s0 to s1.

    Raises
    ------
    CurveError
        A tolerance that is not positive, or a stretch that is empty or off the curve.

    Notes
    -----
    Tested against dense sampling from 0.0005 to 0.1 mm, radii from 20 mm to straight and
    lengths to 3 m: the greatest departure stays within the tolerance. With spans of equal
    base length the biarcs of an offset depart equally too, because the offset's own
    ``dkappa/ds`` is ``kappa' / (1 - kappa d)^3`` and its own span ``h (1 - kappa d)``.

    Examples
    --------
    >>> from overbend.curve.core import Curve, Piece
    >>> hook = Curve((Piece(300.0, 0.0, 0.0), Piece(200.0, 0.005, 0.005)))
    >>> arc_path(hook.offset(20.0)).vertices.round(3).tolist()
    [[0.0, 20.0, 0.0], [300.0, 20.0, 0.255], [451.465, 102.746, 0.0]]
    """
    if not (math.isfinite(tolerance) and tolerance > 0):
        raise CurveError(f"a tolerance of {tolerance:g} mm", allowed="a length above zero")
    base, d = (curve.base, curve.d) if isinstance(curve, OffsetCurve) else (curve, 0.0)
    base = _stretch(base, s0, s1)
    line = base.offset(d)
    rows: list[Floats] = []
    for first, last in _runs(base):
        a, b = base.knots[first], base.knots[last]
        exact = _is_arc(base, first, last, d)
        rows.append(_exact(line, a, b) if exact else _biarcs(line, first, last, tolerance))
    end = line.point(base.length)
    vertices = np.concatenate([*rows, [[end[0], end[1], 0.0]]])
    return ArcPath(vertices)


def path_distance(path: ArcPath, points: Floats) -> Floats:
    """Distance from points to the nearest place on a path.

    Parameters
    ----------
    path : lines and arcs.
    points : shape (n, 2) [mm].

    Returns
    -------
    Floats
        Distances, shape (n,) [mm], exact up to rounding.

    Examples
    --------
    >>> path_distance(ArcPath.polyline(np.array([[0, 0], [100, 0]])), np.array([[40.0, 3.0]]))
    array([3.])
    """
    a, b = path.ends
    xy = np.asarray(points, float)
    rows = max(1, 400_000 // max(1, len(a)))
    parts = [
        _segment_distance(a[None], b[None], xy[i : i + rows, None]).min(axis=1)
        for i in range(0, len(xy), rows)
    ]
    return np.concatenate(parts) if parts else np.empty(0)


def path_deviation(
    curve: Curve | OffsetCurve, path: ArcPath, spacing: float = 1.0
) -> tuple[float, float]:
    """Greatest distance from a curve to a path, and where.

    Parameters
    ----------
    curve : the curve, or an offset of one.
    path : what was written for it.
    spacing : of the places looked at, along the base curve [mm].

    Returns
    -------
    tuple
        Distance [mm] and the base's arc length there [mm].

    Examples
    --------
    >>> from overbend.curve.core import Curve, Piece
    >>> easing = Curve((Piece(400.0, 0.0, 0.002),))
    >>> gap, at = path_deviation(easing, arc_path(easing, 0.01))
    >>> gap < 0.01
    True
    """
    base = curve.base if isinstance(curve, OffsetCurve) else curve
    s = base.grid(spacing)
    gaps = path_distance(path, curve.point(s))
    worst = int(gaps.argmax())
    return float(gaps[worst]), float(s[worst])


def _stretch(base: Curve, s0: float | None, s1: float | None) -> Curve:
    """Return the asked stretch of the base curve."""
    if (s0, s1) == (None, None):
        return base
    return base.part(0.0 if s0 is None else s0, base.length if s1 is None else s1)


def _runs(base: Curve) -> list[tuple[int, int]]:
    """Return ranges of pieces to be written together.

    Neighbours of one constant curvature belong together, and so do neighbours of changing
    curvature that meet without a jump.
    """
    cuts = [0]
    for i, (p, q) in enumerate(zip(base.pieces[:-1], base.pieces[1:], strict=True), start=1):
        jump = abs(q.kappa0 - p.kappa1) * (p.length + q.length) ** 2 / 8 > _SAME
        if jump or _even(p) != _even(q):
            cuts.append(i)
    return list(zip(cuts, [*cuts[1:], len(base.pieces)], strict=True))


def _even(piece: Piece) -> bool:
    """Whether a piece is a line or an arc, to within rounding."""
    return abs(piece.kappa1 - piece.kappa0) * piece.length**2 <= _ROUNDING


def _is_arc(base: Curve, first: int, last: int, d: float) -> bool:
    """Whether the pieces are one line or arc to within nothing."""
    ends = np.array([(p.kappa0, p.kappa1) for p in base.pieces[first:last]])
    spread = float(np.ptp(ends / (1.0 - d * ends)))
    length = float(base.knots[last] - base.knots[first])
    return spread * length**2 / 8 <= _SAME


def _exact(line: OffsetCurve, a: float, b: float) -> Floats:
    """Vertices of the arc from a to b, without its end."""
    turn = float(line.angle(b) - line.angle(a))
    n = max(1, math.ceil(abs(turn) / _WIDEST - 1e-9))
    start = line.point(np.linspace(a, b, n + 1)[:-1])
    flat = abs(turn) * line.length_between(a, b) / 8 <= _SAME
    bulge = 0.0 if flat else math.tan(turn / n / 4)
    return np.column_stack([start, np.full(n, bulge)])


def _biarcs(line: OffsetCurve, first: int, last: int, tolerance: float) -> Floats:
    """Vertices of the fewest biarcs that follow the pieces, without the last end."""
    base = line.base
    s, weight = _measure(base, first, last)
    swept = sum((abs(p.kappa0) + abs(p.kappa1)) * p.length / 2 for p in base.pieces[first:last])
    n = math.ceil(max(swept / _BIARC_WIDEST, 0.9 * weight[-1] / (324 * tolerance) ** (1 / 3)))
    while n <= _MOST_SPANS:
        cuts = np.interp(np.linspace(0.0, weight[-1], n + 1), weight, s)
        vertices = _biarc_vertices(line, cuts)
        worst = _biarc_gap(line, cuts, vertices)
        if worst <= _AIM * tolerance:
            return vertices
        n = max(n + 1, math.floor(n * min(2.0, 0.97 * (worst / tolerance) ** (1 / 3))))
    raise CurveError(
        f"more than {2 * _MOST_SPANS} arcs would be needed to follow the curve within "
        f"{tolerance:g} mm",
        todo="allow a greater tolerance",
    )


def _measure(base: Curve, first: int, last: int) -> tuple[Floats, Floats]:
    """Knots of the pieces and the running integral of |kappa'|^(1/3), which spreads spans."""
    pieces = base.pieces[first:last]
    slope = np.array([abs(p.kappa1 - p.kappa0) / p.length for p in pieces]) ** (1 / 3)
    slope = np.maximum(slope, 1e-3 * slope.max() or 1.0)
    s = base.knots[first : last + 1]
    return s, np.concatenate([[0.0], np.cumsum(slope * np.diff(s))])


def _biarc_vertices(line: OffsetCurve, cuts: Floats) -> Floats:
    """Start and middle vertices of the biarcs between cuts, shape (2 n, 3).

    The two arcs of each have tangent lengths of equal size (the usual choice).
    """
    p, t = line.point(cuts), line.base.tangent(cuts)
    p0, p1, t0, t1 = p[:-1], p[1:], t[:-1], t[1:]
    v, both = p1 - p0, t0 + t1
    vv, vt = (v * v).sum(axis=1), (v * both).sum(axis=1)
    reach = vv / (vt + np.sqrt(vt**2 + 2.0 * (1.0 - (t0 * t1).sum(axis=1)) * vv))
    middle = 0.5 * (p0 + p1 + reach[:, None] * (t0 - t1))
    out = np.empty((2 * len(v), 3))
    out[0::2, :2], out[1::2, :2] = p0, middle
    out[0::2, 2] = _bulge(middle - p0, t0)
    out[1::2, 2] = -_bulge(middle - p1, -t1)
    return out


def _bulge(chord: Floats, tangent: Floats) -> Floats:
    """Bulge of the arc that leaves along a tangent and spans a chord."""
    cross = tangent[:, 0] * chord[:, 1] - tangent[:, 1] * chord[:, 0]
    return np.asarray(cross / (np.hypot(*chord.T) + (tangent * chord).sum(axis=1)))


def _biarc_gap(line: OffsetCurve, cuts: Floats, vertices: Floats) -> float:
    """Greatest distance found between the curve and its biarcs."""
    share = np.arange(1, _SAMPLES) / _SAMPLES
    s = cuts[:-1, None] + share * np.diff(cuts)[:, None]
    xy = line.point(s)
    end = np.append(line.point(cuts[-1]), 0.0)
    after = np.vstack([vertices[1:], end])
    gaps = [_segment_distance(vertices[i::2, None], after[i::2, None], xy) for i in (0, 1)]
    return float(np.minimum(*gaps).max())


def _segment_distance(a: Floats, b: Floats, xy: Floats) -> Floats:
    """Distance from points to lines or arcs from a to b (x, y, bulge), broadcast.

    In the frame with the chord's middle as origin and the chord along x, the arc of bulge
    beta has sagitta ``-beta c / 2`` and its centre at ``y = c (1 - beta^2) / (4 beta)``.
    """
    chord = b[..., :2] - a[..., :2]
    c = np.hypot(chord[..., 0], chord[..., 1])
    ux, uy = chord[..., 0] / c, chord[..., 1] / c
    dx = xy[..., 0] - 0.5 * (a[..., 0] + b[..., 0])
    dy = xy[..., 1] - 0.5 * (a[..., 1] + b[..., 1])
    x, y = ux * dx + uy * dy, ux * dy - uy * dx
    beta = a[..., 2]
    to_end = np.hypot(np.abs(x) - 0.5 * c, y)
    flat = np.abs(beta) < FLAT
    bent = _off_arc(x, y, c, np.where(flat, 1.0, beta), to_end)
    return np.where(flat, _off_line(x, y, c, to_end), bent)


def _off_line(x: Floats, y: Floats, c: Floats, to_end: Floats) -> Floats:
    return np.where(np.abs(x) <= 0.5 * c, np.abs(y), to_end)


def _off_arc(x: Floats, y: Floats, c: Floats, beta: Floats, to_end: Floats) -> Floats:
    """Distance to arcs in the chord's frame, steady for flat arcs."""
    centre = c * (1.0 - beta**2) / (4.0 * beta)
    radius = c * (1.0 + beta**2) / (4.0 * np.abs(beta))
    away = np.hypot(x, y - centre)
    # (away^2 - radius^2) / (away + radius), with the large terms cancelled by hand
    gap = np.abs((x**2 + y**2 - 2.0 * y * centre - 0.25 * c**2) / (away + radius))
    half = 2.0 * np.arctan(np.abs(beta))
    angle = np.arctan2(x, (centre - y) * np.sign(beta))
    return np.where(np.abs(angle) <= half, gap, to_end)
