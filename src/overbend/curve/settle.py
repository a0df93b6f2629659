"""One curve from the strands of a drawing.

Lines and arcs are taken over exactly when they meet tangentially. When the drawing rounds
its numbers, their lengths and radii are settled by least squares so that they do, and free
curves are replaced by fair ones through some of their points.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from overbend.curve.arcs import arc_path, path_distance
from overbend.curve.core import Curve, Floats, Piece, arc_chords
from overbend.curve.fair import through
from overbend.curve.strands import Strand, wrapped
from overbend.errors import CurveError, DrawingFileError

__all__ = ["Settled", "settled"]

Complex = NDArray[np.complex128]

_CORNER = math.radians(1.0)  # a sharper corner is meant, not rounded in the file
_FACET = math.radians(10.0)  # corners of a curve drawn as many short lines
_FEWEST_FACETS = 4
_UNEVEN = 4.0  # a line this much longer than the one beside it is meant to be straight
_LEAP = 0.2  # rad between neighbouring samples of a free curve: a cusp
_ONE = 1e-9  # mm: arcs that depart less from each other are one
_EXACT = 1e-7  # mm: strands that fit this well are taken as they are
_TURN_PER_POINT = 0.3  # rad
_AIM = 0.1  # share of the tolerance a fair curve tries to reach,
_AIM_FACETS = 0.5  # and less closely where the points themselves are rounded
_MOST_POINTS = 400
_REFINEMENTS = 10
_MOST_SETTLED = 400
_ROUNDS = 4  # of Gauss-Newton: it starts within the file's rounding, and 2 reach 1e-12
_CLOSE = 2e-4  # mm: how near the arcs are that distances are measured to


@dataclass(frozen=True)
class Settled:
    """A curve and what was done to get it.

    Parameters
    ----------
    curve : the curve.
    deviation : greatest distance of the strands from it [mm]; of short lines that stand
        for a curve, that of their ends.
    notes : sentences for the maker.
    """

    curve: Curve
    deviation: float
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Stretch:
    """Consecutive strands of one kind: exact lines and arcs, or free curve."""

    strands: tuple[Strand, ...]
    free: bool
    facets: bool = False


def settled(path: Sequence[Strand], tolerance: float) -> Settled:
    """Make one curve of strands in order.

    Parameters
    ----------
    path : strands end to end.
    tolerance : greatest departure of the curve from them [mm].

    Raises
    ------
    DrawingFileError
        At a corner, or where no curve within the tolerance was found.
    """
    stretches = _stretches(path)
    _refuse_corners(stretches)
    exact = {i: _exact(s.strands, tolerance) for i, s in enumerate(stretches) if not s.free}
    parts: list[Curve] = []
    for i, stretch in enumerate(stretches):
        before = parts[-1] if parts else None
        part = exact.get(i) or _fair(stretch, before, exact.get(i + 1), tolerance)
        parts.append(part)
    pieces = _merged([p for c in parts for p in c.pieces])
    whole = Curve(pieces, parts[0].start, parts[0].heading)
    return Settled(whole, _deviation(whole, stretches), _notes(whole, stretches))


def _merged(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Make one piece of neighbours that lie on one line or circle."""
    out: list[Piece] = []
    for p in pieces:
        last = out[-1] if out else p
        same = last.kappa0 == last.kappa1 and p.kappa0 == p.kappa1
        if out and same and abs(p.kappa0 - last.kappa0) * (p.length + last.length) ** 2 < _ONE:
            length = last.length + p.length
            kappa = (last.turn + p.turn) / length
            out[-1] = Piece(length, kappa, kappa)
        else:
            out.append(p)
    return tuple(out)


def _deviation(curve: Curve, stretches: Sequence[_Stretch]) -> float:
    """Greatest distance of the strands from the curve [mm]."""
    points = [s.points if g.facets else s.samples() for g in stretches for s in g.strands]
    return _apart(curve, np.concatenate(points))


def _notes(curve: Curve, stretches: Sequence[_Stretch]) -> tuple[str, ...]:
    notes = []
    chords = [s.samples(3)[1] for g in stretches if g.facets for s in g.strands]
    if chords:
        notes.append(
            f"{len(chords)} short straight lines were read as points of a curve, which departs "
            f"from them by up to {_apart(curve, np.array(chords)):.2g} mm"
        )
    if any(g.free and not g.facets for g in stretches):
        notes.append("splines, ellipses or Bezier curves were replaced by a fair curve")
    return tuple(notes)


# -- what belongs together -----------------------------------------------------------
def _stretches(path: Sequence[Strand]) -> list[_Stretch]:
    """Split a path into exact and free stretches."""
    facet = _facets(path)
    kinds = [2 if f else 1 if s.bulge is None else 0 for s, f in zip(path, facet, strict=True)]
    cuts = [
        i
        for i in range(1, len(path))
        if kinds[i] != kinds[i - 1] or (facet[i] and not _same_curve(path[i - 1], path[i]))
    ]
    out = []
    for a, b in zip([0, *cuts], [*cuts, len(path)], strict=True):
        out.append(_Stretch(tuple(path[a:b]), kinds[a] > 0, kinds[a] == 2))
    return out


def _facets(path: Sequence[Strand]) -> list[bool]:
    """Whether each strand is one of many short lines that stand for a curve."""
    out = [False] * len(path)
    run: list[int] = []
    for i, s in enumerate(path):
        if run and _same_curve(path[run[-1]], s):
            run.append(i)
        else:
            run = [i] if s.bulge == 0.0 else []
        if len(run) >= _FEWEST_FACETS:
            for j in run:
                out[j] = True
    return out


def _same_curve(a: Strand, b: Strand) -> bool:
    """Whether two lines may be chords of one curve."""
    corner = abs(wrapped(b.headings[0] - a.headings[-1]))
    even = max(a.length, b.length) <= _UNEVEN * min(a.length, b.length)
    return b.bulge == 0.0 and 1e-6 < corner <= _FACET and even


def _refuse_corners(stretches: Sequence[_Stretch]) -> None:
    """Raise where strands meet at an angle, or where a free curve turns on the spot."""
    found = [place for s in stretches for place in _inner_corners(s)]
    for a, b in pairwise(stretches):
        found += _corner(a.strands[-1], b.strands[0], _FACET if a.facets or b.facets else _CORNER)
    if not found:
        return
    places = ", ".join(
        f"({x:.4g}, {y:.4g}) mm by {abs(math.degrees(turn)):.3g} degrees"
        for x, y, turn in found[:5]
    )
    more = f" and {len(found) - 5} more" if len(found) > 5 else ""
    raise DrawingFileError(
        f"the path has a corner at {places}{more}",
        allowed="lines and arcs that meet tangentially; wood cannot follow a corner",
        todo="round the corner with an arc; if this is the outline of a part, draw the line "
        "along its middle instead",
    )


def _inner_corners(stretch: _Stretch) -> list[tuple[float, float, float]]:
    """Corners inside a stretch: x, y [mm] and the angle [rad]."""
    if stretch.facets:
        return []
    s = stretch.strands
    found = [c for a, b in pairwise(s) for c in _corner(a, b, _CORNER)]
    return found + [c for strand in s if strand.bulge is None for c in _sudden(strand)]


def _corner(a: Strand, b: Strand, limit: float) -> list[tuple[float, float, float]]:
    """The corner between two strands, when it is sharper than the limit."""
    turn = wrapped(float(b.headings[0] - a.headings[-1]))
    x, y = np.round(b.points[0], 6) + 0.0  # never "-0"
    return [(float(x), float(y), turn)] if abs(turn) > limit else []


def _sudden(strand: Strand) -> list[tuple[float, float, float]]:
    """Places where a free curve turns by a leap from one sample to the next."""
    steps = np.diff(strand.headings)
    return [
        (float(strand.points[j, 0]), float(strand.points[j, 1]), float(steps[j]))
        for j in np.flatnonzero(np.abs(steps) > _LEAP)
    ]


# -- exact stretches -----------------------------------------------------------------
def _exact(strands: Sequence[Strand], tolerance: float) -> Curve:
    """Lines and arcs as they are, or settled so that they meet tangentially."""
    length = np.array([s.length for s in strands])
    kappa = np.array([s.sweep for s in strands]) / length
    drawn = np.concatenate([strands[0].points[:1], [s.points[-1] for s in strands]])
    start = np.array([*drawn[0], strands[0].headings[0]])
    ends, _ = _laid(start, length, kappa)
    if np.abs(ends - drawn).max() > _EXACT:
        start, length, kappa = _least_squares(strands, start, length, kappa)
        _refuse_far(start, length, kappa, drawn, tolerance)
    pieces = tuple(map(Piece, length.tolist(), kappa.tolist(), kappa.tolist()))
    return Curve(pieces, (float(start[0]), float(start[1])), float(start[2]))


def _laid(start: Floats, length: Floats, kappa: Floats) -> tuple[Floats, Floats]:
    """Ends (n + 1, 2) and middles (n, 2) of arcs laid end to end."""
    heading = start[2] + np.concatenate([[0.0], np.cumsum(length * kappa)[:-1]])
    ends = start[:2] + np.vstack([[0.0, 0.0], np.cumsum(arc_chords(length, kappa, heading), 0)])
    return ends, ends[:-1] + arc_chords(length / 2, kappa, heading)


def _least_squares(
    strands: Sequence[Strand], start: Floats, length: Floats, kappa: Floats
) -> tuple[Floats, Floats, Floats]:
    """Start, lengths and curvatures whose ends and middles come nearest to the drawn ones.

    Gauss-Newton; lines stay straight.
    """
    if len(strands) > _MOST_SETTLED:
        raise DrawingFileError(
            f"{len(strands)} lines and arcs that do not quite meet tangentially",
            allowed=f"up to {_MOST_SETTLED}",
            todo="export the curve with more decimals, or as a spline",
        )
    ends = [strands[0].points[0], *(s.points[-1] for s in strands)]
    drawn = np.array([*ends, *(s.samples(3)[1] for s in strands)]) @ (1.0, 1.0j)
    n, unit, bent = len(strands), float(length.sum()), np.flatnonzero(kappa)
    scale = np.concatenate([[unit, unit, 1.0], np.full(n, unit), np.full(len(bent), 1.0 / unit)])
    for _ in range(_ROUNDS):
        place, slope = _slopes(start, length, kappa)
        slope = np.delete(slope, 3 + n + np.flatnonzero(kappa == 0.0), axis=1) * scale
        # normal equations: what they lose in precision the next round makes good
        square = (slope.conj().T @ slope).real
        step = scale * np.linalg.solve(square, (slope.conj().T @ (drawn - place)).real)
        start, length = start + step[:3], length + step[3 : 3 + n]
        kappa = kappa.copy()
        kappa[bent] += step[3 + n :]
    return start, length, kappa


def _slopes(start: Floats, length: Floats, kappa: Floats) -> tuple[Complex, Complex]:
    """Ends and middles of arcs laid end to end, and their derivatives.

    Places are complex numbers, x + iy. Columns: start x, y and heading, lengths,
    curvatures.
    """
    ends, middles = (xy @ (1.0, 1.0j) for xy in _laid(start, length, kappa))
    n, place = len(length), np.concatenate([ends, middles])
    after = start[2] + np.cumsum(length * kappa)
    before = after - length * kappa
    done = np.concatenate([np.arange(n + 1), np.arange(n)])[:, None] > np.arange(n)
    lever = 1j * (place[:, None] - ends[None, 1:])
    by_length = done * (np.exp(1j * after) + kappa * lever)
    by_kappa = done * (_bowing(length, kappa, before) + length * lever)
    own = (n + 1 + np.arange(n), np.arange(n))
    by_length[own] = 0.5 * np.exp(1j * (before + 0.5 * length * kappa))
    by_kappa[own] = _bowing(0.5 * length, kappa, before)
    first = np.array([[1.0, 1.0j, 0.0]]) + (place - place[0])[:, None] * np.array([0, 0, 1j])
    return place, np.hstack([first, by_length, by_kappa])


def _bowing(length: Floats, kappa: Floats, heading: Floats) -> Complex:
    """Derivative of an arc's chord by its curvature, as a complex number."""
    half = 0.5 * kappa * length
    flat = np.abs(half) < 1e-4
    safe = np.where(flat, 1.0, half)
    sinc = np.sinc(half / np.pi)
    slope = np.where(flat, -half / 3.0, (np.cos(safe) - np.sinc(safe / np.pi)) / safe)
    return np.asarray(0.5 * length**2 * (slope + 1j * sinc) * np.exp(1j * (heading + half)))


def _refuse_far(
    start: Floats, length: Floats, kappa: Floats, drawn: Floats, tolerance: float
) -> None:
    """Raise when settled strands have moved further than the tolerance."""
    if not (length > 0).all():
        raise DrawingFileError("lines and arcs that cannot be made to meet tangentially")
    ends, _ = _laid(start, length, kappa)
    away = np.hypot(*(ends - drawn).T)
    if away.max() > tolerance:
        x, y = drawn[int(away.argmax())]
        raise DrawingFileError(
            f"lines and arcs do not meet tangentially near ({x:.4g}, {y:.4g}) mm: making them "
            f"do so moves the curve by {away.max():.3g} mm",
            allowed=f"up to {tolerance:g} mm",
            todo="draw them tangent to each other, or allow a greater tolerance",
        )


# -- free stretches ------------------------------------------------------------------
def _fair(stretch: _Stretch, before: Curve | None, after: Curve | None, tolerance: float) -> Curve:
    """A fair curve within the tolerance of the samples, joined on to its neighbours."""
    points = np.concatenate([s.points[1 if i else 0 :] for i, s in enumerate(stretch.strands)])
    headings: list[float | None] = [None, None]
    if not stretch.facets:
        headings = [float(h) for h in (stretch.strands[0].headings[0],
                                       stretch.strands[-1].headings[-1])]  # fmt: skip
    if before is not None:
        points[0], headings[0] = before.point(before.length), float(before.angle(before.length))
    if after is not None:
        points[-1], headings[1] = after.start, after.heading
    aim = tolerance * (_AIM_FACETS if stretch.facets else _AIM)
    curve, gap = _refined(points, headings, aim)
    if curve is None or gap > tolerance:
        raise _no_fit(points, gap, tolerance)
    return curve


def _refined(
    points: Floats, headings: Sequence[float | None], aim: float
) -> tuple[Curve | None, float]:
    """The nearest fair curve found, and how far it stays off the samples.

    Starts from few of the samples and takes up more where the curve departs from them.
    """
    used = _spread(points)
    best, gap = None, math.inf
    for _ in range(_REFINEMENTS):
        try:
            curve = through(points[used], headings[0], headings[1])
        except CurveError:
            away = np.full(len(points), np.inf)
        else:
            away = path_distance(arc_path(curve, _CLOSE), points)
            if away.max() < gap:
                best, gap = curve, float(away.max())
        spans = [(a, b) for a, b in pairwise(used.tolist()) if away[a : b + 1].max() > aim]
        more = [(a + b) // 2 for a, b in spans if b - a > 1]
        if not more or len(used) + len(more) > _MOST_POINTS:
            break
        used = np.union1d(used, more)
    return best, gap


def _apart(curve: Curve, points: Floats) -> float:
    """Greatest distance from places to a curve [mm]."""
    return float(path_distance(arc_path(curve, _CLOSE), points).max())


def _no_fit(points: Floats, gap: float, tolerance: float) -> DrawingFileError:
    x, y = points[len(points) // 2]
    reached = f"; the nearest stays {gap:.3g} mm off" if math.isfinite(gap) else ""
    return DrawingFileError(
        f"no smooth curve was found along the free curve near ({x:.4g}, {y:.4g}) mm{reached}",
        allowed=f"up to {tolerance:g} mm",
        todo="draw it with fewer points, or allow a greater tolerance",
    )


def _spread(points: Floats) -> NDArray[np.intp]:
    """Few samples, spread evenly by length and turning, with both ends."""
    step = np.diff(points, axis=0)
    length = np.hypot(*step.T)
    turn = np.append(np.abs(np.diff(np.unwrap(np.arctan2(step[:, 1], step[:, 0])))), 0.0)
    weight = length / length.sum() + turn / max(turn.sum(), 1e-3)
    run = np.concatenate([[0.0], np.cumsum(weight)])
    count = 4 + math.ceil(turn.sum() / _TURN_PER_POINT)
    at = np.searchsorted(run, np.linspace(0.0, run[-1], count))
    return np.unique(np.clip(at, 0, len(points) - 1))
