r"""Fair curves through given points.

The curvature runs evenly over each of a number of equal cells between two points. The
curve minimises

.. math:: \sum_i (L_i / d_i)^3 \int (d\kappa / ds)^2 ds

where span i has the length L_i and the chord d_i. The integral alone (the curve of least
variation of curvature) rewards a span for growing: its value falls with the inverse cube
of size, so that a hooked end swells into a loop without bound as soon as the points swing
about. The factor takes that reward away. It is one where the points lie close together
and changes nothing where the integral is zero, on lines and circles.

References
----------
Moreton, H. P. and Sequin, C. H. (1993). Scale-invariant minimum-cost curves: fair and robust
design implements. Computer Graphics Forum 12(3), 473-484 (the idea of the factor, there for
the curve as a whole).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve.core import Curve, Floats, Piece
from overbend.errors import CurveError

__all__ = ["through"]

_CELLS = 12  # stretches of evenly running curvature between two points
_NODES = 6  # quadrature nodes in a cell
_CLOSEST = 1e-3  # mm: points nearer than this count as one
_STEPS = 40
_SETTLED = 1e-9  # largest step of the last iteration, lengths as shares of the whole
_MET = 1e-12  # largest miss at a point after it, as a share of the whole
_LONGEST = 6.0  # a span this many times its chord runs round in a loop


def through(
    points: ArrayLike,
    start_heading: float | None = None,
    end_heading: float | None = None,
    names: Sequence[str] | None = None,
) -> Curve:
    """Lay the fairest curve through points.

    Parameters
    ----------
    points : in the order the curve meets them, shape (n, 2), n >= 2 [mm].
    start_heading, end_heading : direction of travel at the first and last point [rad],
        counter-clockwise from the x axis; left to the curve when None.
    names : stations at the points; default p1, p2 and so on.

    Returns
    -------
    Curve
        Passes every point within 1e-9 mm times its length in metres, and has a station
        there. Curvature is continuous.

    Raises
    ------
    CurveError
        Fewer than two points, values that are not numbers, neighbours closer than
        0.001 mm, or points that no curve without a loop was found for.

    Notes
    -----
    Points on a line or circle, taken in order round it, give that line or circle. The
    curve turns, moves and mirrors with its points and is the same from either end. Newton
    steps on the conditions of the minimum, lengths, headings and curvatures together, from
    the circles through three neighbours each.

    Examples
    --------
    >>> curve = through([(0, 0), (100, 20), (200, 20), (300, 0)])
    >>> curve.point(curve.stations["p3"]).round(6).tolist()
    [200.0, 20.0]
    >>> ring = through([(50, 0), (0, 50), (-50, 0)])
    >>> bool(abs(ring.kappa(ring.grid(1.0)) - 1 / 50).max() < 1e-9)
    True
    """
    xy = _checked(points, (start_heading, end_heading))
    names = [f"p{i + 1}" for i in range(len(xy))] if names is None else list(names)
    if len(names) != len(xy) or len(set(names)) != len(names):
        raise CurveError(
            f"{len(names)} names for {len(xy)} points", allowed="one name each, all different"
        )
    pieces: tuple[Piece, ...]
    if len(xy) == 2 and start_heading is None and end_heading is None:
        dx, dy = xy[1] - xy[0]
        pieces = (Piece(math.hypot(dx, dy), 0.0, 0.0),)
        heading = math.atan2(dy, dx)
    else:
        pieces, heading = _solved(xy, start_heading, end_heading)
    start = (float(xy[0, 0]), float(xy[0, 1]))
    curve = Curve(pieces, start, heading)
    at = curve.knots[:: len(pieces) // (len(xy) - 1)]
    return replace(curve, stations=dict(zip(names, at.tolist(), strict=True)))


def _checked(points: ArrayLike, headings: tuple[float | None, float | None]) -> Floats:
    """Points as an array, or the error that names what is wrong with them."""
    xy = np.asarray(points, float)
    if xy.ndim != 2 or xy.shape[1] != 2 or len(xy) < 2:
        raise CurveError(
            f"a curve through {len(xy) if xy.ndim == 2 else 0} points",
            allowed="two points or more, each with x and y",
        )
    if not np.isfinite(xy).all():
        row = int(np.flatnonzero(~np.isfinite(xy).all(axis=1))[0])
        raise CurveError(
            f"point {row + 1} is at ({xy[row, 0]:g}, {xy[row, 1]:g})", allowed="finite numbers"
        )
    near = np.flatnonzero(np.hypot(*np.diff(xy, axis=0).T) < _CLOSEST)
    if near.size:
        i = int(near[0]) + 1
        raise CurveError(
            f"points {i} and {i + 1} lie on each other at ({xy[i, 0]:g}, {xy[i, 1]:g}) mm",
            allowed=f"neighbours at least {_CLOSEST:g} mm apart",
            todo="take one of them out",
        )
    if not all(h is None or math.isfinite(h) for h in headings):
        raise CurveError("a heading that is not a number", allowed="an angle")
    return xy


def _solved(xy: Floats, first: float | None, last: float | None) -> tuple[tuple[Piece, ...], float]:
    """Pieces and heading at the start [mm, rad]."""
    scale = float(np.hypot(*np.diff(xy, axis=0).T).sum())
    unit = (xy - xy[0]) / scale
    x = _newton(unit, (first, last))
    spans = x[:-2].reshape(len(xy) - 1, -1)
    lengths = spans[:, 2] * scale
    kappa = np.append(np.column_stack([spans[:, 1], spans[:, 6:]]).ravel(), x[-1]) / scale
    cell = np.repeat(lengths / _CELLS, _CELLS)
    pieces = tuple(map(Piece, cell.tolist(), kappa[:-1].tolist(), kappa[1:].tolist()))
    return pieces, float(x[0])


# -- the unknowns -----------------------------------------------------------------
# Span i owns a row of _CELLS + 5: heading and curvature at its first point, its length,
# the multipliers of its three conditions (it ends at the next point in x and in y, and
# with the next heading), then the curvatures inside. Two more at the end of all: heading
# and curvature at the last point. A span together with the next two numbers is everything
# its cost and conditions depend on, so that all equations are banded.
_ROW = _CELLS + 5
_LENGTH, _RULES = 2, slice(3, 6)
_KAPPAS = np.array([1, *range(6, _ROW), _ROW + 1])
_FREE = np.array([0, *_KAPPAS, _LENGTH])  # heading, curvatures, length: order of derivatives


def _start(xy: Floats, first: float | None, last: float | None) -> Floats:
    """First guess: at each point the circle through it and its neighbours."""
    chord = np.diff(xy, axis=0)
    d, bearing = np.hypot(*chord.T), np.arctan2(chord[:, 1], chord[:, 0])
    corner = _wrapped(np.diff(bearing))
    leaving, arriving = np.zeros(len(d)), np.zeros(len(d))  # bearing - heading, its converse
    arriving[:-1] = np.arctan2(d[:-1] * np.sin(corner), d[1:] + d[:-1] * np.cos(corner))
    leaving[1:] = corner - arriving[:-1]
    leaving[0] = arriving[0] if first is None else _wrapped(bearing[0] - first)
    arriving[-1] = leaving[-1] if last is None else _wrapped(last - bearing[-1])
    if first is None and len(d) == 1:
        leaving[0] = arriving[0]
    turn = leaving + arriving
    length = d / np.clip(np.sinc(turn / 2 / np.pi), 0.25, 1.0)
    inner = 2.0 * np.sin(corner) / np.maximum(np.hypot(*(xy[2:] - xy[:-2]).T), 0.1 * d.min())
    kappa = np.concatenate([[turn[0] / length[0]], inner, [turn[-1] / length[-1]]])
    x = np.zeros(_ROW * len(d) + 2)
    span = x[:-2].reshape(len(d), _ROW)
    headings = bearing[0] - leaving[0] + np.concatenate([[0.0], np.cumsum(turn)])
    span[:, 0], x[-2] = headings[:-1], headings[-1]
    span[:, 1], x[-1] = kappa[:-1], kappa[-1]
    span[:, _LENGTH] = length
    share = np.arange(1, _CELLS) / _CELLS
    span[:, 6:] = kappa[:-1, None] * (1.0 - share) + kappa[1:, None] * share
    return x


def _wrapped(angle: ArrayLike) -> Floats:
    """Angle brought to -pi to pi [rad]."""
    return np.asarray((np.asarray(angle, float) + np.pi) % (2.0 * np.pi) - np.pi)


def _newton(xy: Floats, ends: tuple[float | None, float | None]) -> Floats:
    """Unknowns at the minimum, for given headings at the ends."""
    from scipy.linalg import LinAlgError, solve_banded

    x, chord = _start(xy, *ends), np.diff(xy, axis=0)
    fixed = [i for i, h in zip((0, len(x) - 2), ends, strict=True) if h is not None]
    try:
        for _ in range(_STEPS):
            band, residual, miss = _equations(x, chord, fixed)
            step = -solve_banded((_ROW + 1, _ROW + 1), band, residual, overwrite_ab=True)
            x = x + _damping(x, step) * step
            if np.abs(_primal(step)).max() < _SETTLED and miss < _MET:
                break
        else:
            raise _no_curve(xy, ends)
    except (LinAlgError, ValueError):
        raise _no_curve(xy, ends) from None
    if (x[:-2].reshape(len(chord), _ROW)[:, _LENGTH] > _LONGEST * np.hypot(*chord.T)).any():
        raise _no_curve(xy, ends)
    return x


def _primal(x: Floats) -> Floats:
    """Headings and lengths among the unknowns, shape (2, spans)."""
    return x[:-2].reshape(-1, _ROW)[:, [0, _LENGTH]].T


def _damping(x: Floats, step: Floats) -> float:
    """Share of a step that turns no heading and stretches no span too far at once."""
    turn, grow = _primal(step)
    most = max(np.abs(turn).max() / 0.7, (np.abs(grow) / _primal(x)[1]).max() / 0.5, 1.0)
    return float(1.0 / most)


def _no_curve(xy: Floats, ends: tuple[float | None, float | None]) -> CurveError:
    """The error for points that no fair curve was found for."""
    bearing = np.arctan2(*np.diff(xy, axis=0).T[::-1])
    way = [b if h is None else h for h, b in zip(ends, bearing[[0, -1]], strict=True)]
    turn = np.abs(_wrapped(np.diff([way[0], *bearing, way[1]])))
    i = int(turn.argmax()) + 1
    advice = f"move point {i}, add points on either side of it, or give the headings at the ends"
    if i in (1, len(xy)):
        advice = f"turn the heading at point {i} nearer to the point next to it, or add points"
    return CurveError(
        f"no fair curve without a loop was found through these {len(xy)} points; the sharpest "
        f"turn, {math.degrees(turn.max()):.0f} degrees, is at point {i}",
        todo=advice,
    )


# -- the equations ----------------------------------------------------------------
@dataclass(frozen=True)
class _Cells:
    """The cells of one span of length one.

    Parameters
    ----------
    weight : of the quadrature nodes, shape (q,).
    heading : heading at the nodes per curvature at the knots, shape (q, _CELLS + 1).
    turn : heading at the end per curvature at the knots, shape (_CELLS + 1,).
    stiff : second derivative of the cost by the curvatures, square.
    """

    weight: Floats
    heading: Floats
    turn: Floats
    stiff: Floats


@lru_cache(maxsize=1)
def _cells() -> _Cells:
    node, weight = np.polynomial.legendre.leggauss(_NODES)
    at = (np.arange(_CELLS)[:, None] + 0.5 * (node + 1.0)).reshape(-1, 1)
    knot = np.arange(_CELLS + 1)
    t = np.clip(at - knot, -1.0, 1.0)
    area = np.where(t <= 0.0, 0.5 * (t + 1.0) ** 2, 0.5 + t - 0.5 * t**2)
    area[:, 0] -= 0.5
    step = np.diff(np.eye(_CELLS + 1), axis=0)
    turn = np.full(_CELLS + 1, 1.0)
    turn[[0, -1]] = 0.5
    weight = np.tile(weight / 2.0 / _CELLS, _CELLS)
    return _Cells(weight, area / _CELLS, turn / _CELLS, _CELLS * step.T @ step)


def _equations(x: Floats, chord: Floats, fixed: list[int]) -> tuple[Floats, Floats, float]:
    """Newton's band matrix and right side, and the greatest miss at a point."""
    index, _ = _places(len(chord))
    z = x[index]
    run = _run(z)
    slope, miss = _conditions(z, chord, run)
    matrix = np.zeros((len(chord), _ROW + 2, _ROW + 2))
    matrix[:, _FREE[:, None], _FREE] = _bend_of_conditions(z, run)
    matrix[:, _RULES, :] += slope
    matrix[:, :, _RULES] += np.swapaxes(slope, 1, 2)
    right = np.einsum("er,erp->ep", z[:, _RULES], slope)
    right[:, _RULES] += miss
    _add_cost(matrix, right, z, np.hypot(*chord.T))
    return *_banded(matrix, right, fixed), float(np.abs(miss).max())


Run = tuple[Floats, Floats, Floats, Floats]


def _run(z: Floats) -> Run:
    """Cosine and sine of the heading at the nodes, its derivatives, and the way covered."""
    c, length = _cells(), z[:, _LENGTH]
    swing = z[:, _KAPPAS] @ c.heading.T
    angle = z[:, :1] + length[:, None] * swing
    by = np.empty((*swing.shape, _CELLS + 3))
    by[..., 0] = 1.0
    by[..., 1:-1] = length[:, None, None] * c.heading
    by[..., -1] = swing
    cos, sin = np.cos(angle), np.sin(angle)
    way = np.stack([cos @ c.weight, sin @ c.weight], axis=1)
    return cos, sin, by, way


def _conditions(z: Floats, chord: Floats, run: Run) -> tuple[Floats, Floats]:
    """Derivatives (spans, 3, _ROW + 2) and values (spans, 3) of the conditions."""
    c, length, kappa = _cells(), z[:, _LENGTH, None], z[:, _KAPPAS]
    cos, sin, by, way = run
    slope = np.zeros((len(z), 3, _ROW + 2))
    slope[:, 0, _FREE] = length * _over_nodes(-sin * c.weight, by)
    slope[:, 1, _FREE] = length * _over_nodes(cos * c.weight, by)
    slope[:, :2, _LENGTH] += way
    slope[:, 2, 0], slope[:, 2, _ROW] = -1.0, 1.0
    slope[:, 2, _LENGTH] = -kappa @ c.turn
    slope[:, 2, _KAPPAS] = -length * c.turn
    turn = z[:, _ROW] - z[:, 0] - length[:, 0] * (kappa @ c.turn)
    return slope, np.column_stack([length * way - chord, turn])


def _over_nodes(value: Floats, by: Floats) -> Floats:
    """Sum over the nodes of each span, shape (spans, by)."""
    return np.asarray((value[:, None, :] @ by)[:, 0])


def _bend_of_conditions(z: Floats, run: Run) -> Floats:
    """Second derivatives of the conditions, weighted with their multipliers."""
    c, length, rule = _cells(), z[:, _LENGTH], z[:, _RULES]
    cos, sin, by, _ = run
    along = (rule[:, :1] * cos + rule[:, 1:2] * sin) * c.weight
    across = (rule[:, 1:2] * cos - rule[:, :1] * sin) * c.weight
    bend = -np.swapaxes(by, 1, 2) * (length[:, None] * along)[:, None, :] @ by
    mixed = _over_nodes(across, by)
    mixed[:, 1:-1] += length[:, None] * (across @ c.heading) - rule[:, 2:] * c.turn
    bend[:, -1, :] += mixed
    bend[:, :, -1] += mixed
    return bend


def _add_cost(matrix: Floats, right: Floats, z: Floats, d: Floats) -> None:
    """Add the derivatives of the cost, half of L^2 / d^3 times the squared steps of kappa."""
    c, length, kappa = _cells(), z[:, _LENGTH], z[:, _KAPPAS]
    pull = kappa @ c.stiff
    energy = (kappa * pull).sum(axis=1)
    share, mixed = length**2 / d**3, (2.0 * length / d**3)[:, None] * pull
    matrix[:, _KAPPAS[:, None], _KAPPAS] += share[:, None, None] * c.stiff
    matrix[:, _KAPPAS, _LENGTH] += mixed
    matrix[:, _LENGTH, _KAPPAS] += mixed
    matrix[:, _LENGTH, _LENGTH] += energy / d**3
    right[:, _KAPPAS] += share[:, None] * pull
    right[:, _LENGTH] += length / d**3 * energy


@lru_cache(maxsize=64)
def _places(spans: int) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns of each span, (spans, _ROW + 2), and where their products lie in the band, flat."""
    index = np.arange(spans)[:, None] * _ROW + np.arange(_ROW + 2)
    rows, columns = index[:, :, None], index[:, None, :]
    size = int(index[-1, -1]) + 1
    return index, ((_ROW + 1 + rows - columns) * size + columns).ravel()


def _banded(matrix: Floats, right: Floats, fixed: list[int]) -> tuple[Floats, Floats]:
    """Gather the spans into one band matrix and right side; fixed unknowns do not move."""
    index, place = _places(len(matrix))
    reach, size = _ROW + 1, int(index[-1, -1]) + 1
    residual = np.asarray(np.bincount(index.ravel(), right.ravel(), size), float)
    whole = np.asarray(np.bincount(place, matrix.ravel(), (2 * reach + 1) * size), float)
    band = whole.reshape(2 * reach + 1, size)
    for i in fixed:
        near = np.arange(max(0, i - reach), min(size, i + reach + 1))
        band[reach + i - near, near] = 0.0
        band[reach + near - i, i] = 0.0
        band[reach, i] = 1.0
        residual[i] = 0.0
    return band, residual
