"""A plane curve as curvature over arc length.

Curvature is positive to the left. A curve is a chain of pieces on each of which the
curvature is linear in arc length: a line, an arc and a clothoid easement are all of that
kind. Headings are exact polynomials; positions are exact for lines and arcs and by
Gauss-Legendre quadrature for clothoids.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, field, replace
from functools import cache, cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.errors import CurveError

__all__ = ["Curve", "Floats", "OffsetCurve", "Piece", "arc_chords"]

Floats = NDArray[np.float64]
Counts = NDArray[np.intp]

_PANEL_TURN = 0.5  # rad turned by one quadrature panel at most
_SLIGHT_TURN = 0.1  # rad up to which the few nodes reach rounding
_FEW, _MANY = 5, 9  # nodes of the quadrature


@dataclass(frozen=True)
class Piece:
    """A stretch of curve with curvature linear in arc length.

    Parameters
    ----------
    length : arc length [mm], > 0.
    kappa0, kappa1 : curvature at its start and end [1/mm], positive to the left.
    """

    length: float
    kappa0: float
    kappa1: float

    def __post_init__(self) -> None:
        fits = 0.0 < self.length < math.inf
        if not (fits and math.isfinite(self.kappa0) and math.isfinite(self.kappa1)):
            raise CurveError(
                f"a segment of length {self.length:g} mm with curvature {self.kappa0:g} to "
                f"{self.kappa1:g} per mm",
                allowed="finite curvature and a length above zero",
                todo="give the segment a length, or take it out",
            )

    def kappa(self, u: ArrayLike) -> Floats:
        """Curvature at distance u from the start [1/mm]."""
        return self.kappa0 + (self.kappa1 - self.kappa0) * np.asarray(u, float) / self.length

    @property
    def turn(self) -> float:
        """Angle turned from start to end [rad]."""
        return 0.5 * (self.kappa0 + self.kappa1) * self.length

    def part(self, u0: float, u1: float) -> Piece:
        """Return the stretch from u0 to u1 [mm]."""
        k0, k1 = self.kappa([u0, u1])
        return Piece(u1 - u0, float(k0), float(k1))

    def reversed(self) -> Piece:
        """Return the same stretch run from its end: what turned left turns right."""
        return Piece(self.length, -self.kappa1, -self.kappa0)


@dataclass(frozen=True)
class Curve:
    """A plane curve.

    Parameters
    ----------
    pieces : chain of pieces, at least one.
    start : position of s = 0 [mm, mm].
    heading : direction at s = 0 [rad], from the x axis, counter-clockwise.
    stations : named arc lengths [mm].

    Examples
    --------
    >>> quarter = Curve((Piece(math.pi / 2 * 100, 0.01, 0.01),))
    >>> np.round(quarter.point(quarter.length), 9).tolist()
    [100.0, 100.0]
    """

    pieces: tuple[Piece, ...]
    start: tuple[float, float] = (0.0, 0.0)
    heading: float = 0.0
    stations: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.pieces:
            raise CurveError("a curve without segments", allowed="one segment or more")
        for name, s in self.stations.items():
            if not -1e-9 <= s <= self.length + 1e-9:
                raise CurveError(
                    f"station {name!r} at {s:g} mm lies off the curve",
                    allowed=f"0 to {self.length:g} mm",
                    todo="move the station or lengthen the curve",
                )

    # -- along the curve -------------------------------------------------------
    @cached_property
    def rows(self) -> Floats:
        """Length and curvature at both ends of each piece, shape (pieces, 3) [mm, 1/mm]."""
        return np.array([(p.length, p.kappa0, p.kappa1) for p in self.pieces])

    @cached_property
    def knots(self) -> Floats:
        """Arc length where each piece starts, and the end, shape (pieces + 1,) [mm]."""
        return np.concatenate([[0.0], np.cumsum(self.rows[:, 0])])

    @property
    def length(self) -> float:
        """Total arc length [mm]."""
        return float(self.knots[-1])

    @property
    def turn(self) -> float:
        """Angle turned from start to end [rad]."""
        return math.fsum(p.turn for p in self.pieces)

    @cached_property
    def _panels(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Quadrature panels: start s, kappa there, slope of kappa, heading, position."""
        length, k0, k1 = self.rows.T
        share, piece = _cut(_panel_counts(length, k0, k1))
        s = self.knots[piece] + length[piece] * share
        k, dk = k0[piece] + (k1 - k0)[piece] * share, ((k1 - k0) / length)[piece]
        steps = np.diff(s, append=self.length)
        theta = self.heading + np.concatenate([[0.0], np.cumsum(steps * (k + 0.5 * dk * steps))])
        moves = _advance(steps, k, dk, theta[:-1])
        xy = np.asarray(self.start) + np.vstack([[0.0, 0.0], np.cumsum(moves, axis=0)])
        return s, k, dk, theta, xy

    def _locate(self, s: ArrayLike) -> tuple[Floats, NDArray[np.intp]]:
        at = np.asarray(s, float)
        if at.size and not (at.min() >= -1e-6 and at.max() <= self.length + 1e-6):
            raise CurveError(
                f"a place at {float(at.min()):g} to {float(at.max()):g} mm lies off the curve",
                allowed=f"0 to {self.length:g} mm",
            )
        at = np.minimum(np.maximum(at, 0.0), self.length)
        return at, np.searchsorted(self._panels[0], at, side="right") - 1

    def kappa(self, s: ArrayLike) -> Floats:
        """Curvature at arc lengths s [1/mm], same shape as s; at a jump, the later piece's."""
        at, i = self._locate(s)
        s0, k, dk, _, _ = self._panels
        return np.asarray(k[i] + dk[i] * (at - s0[i]))

    def angle(self, s: ArrayLike) -> Floats:
        """Heading at arc lengths s [rad], same shape as s."""
        at, i = self._locate(s)
        s0, k, dk, theta, _ = self._panels
        u = at - s0[i]
        return np.asarray(theta[i] + u * (k[i] + 0.5 * dk[i] * u))

    def point(self, s: ArrayLike) -> Floats:
        """Position at arc lengths s, shape s.shape + (2,) [mm]."""
        at, i = self._locate(s)
        s0, k, dk, theta, xy = self._panels
        move = _advance(np.ravel(at - s0[i]), np.ravel(k[i]), np.ravel(dk[i]), np.ravel(theta[i]))
        return xy[i] + move.reshape((*at.shape, 2))

    def normal(self, s: ArrayLike) -> Floats:
        """Unit normal to the left, shape s.shape + (2,)."""
        angle = self.angle(s)
        return np.stack([-np.sin(angle), np.cos(angle)], axis=-1)

    def tangent(self, s: ArrayLike) -> Floats:
        """Unit tangent, shape s.shape + (2,)."""
        angle = self.angle(s)
        return np.stack([np.cos(angle), np.sin(angle)], axis=-1)

    def grid(self, spacing: float) -> Floats:
        """Arc lengths no more than `spacing` apart, with every knot among them [mm]."""
        steps = np.diff(self.knots)
        share, piece = _cut(np.maximum(np.ceil(steps / spacing), 1.0).astype(int))
        return np.append(self.knots[piece] + steps[piece] * share, self.length)

    def even_grid(self, count: int) -> Floats:
        """`count` evenly spaced arc lengths from end to end [mm]."""
        return np.linspace(0.0, self.length, count)

    @cached_property
    def tightest(self) -> tuple[float, float]:
        """Station and signed curvature of the tightest place [mm, 1/mm]."""
        kappa = self.rows[:, 1:].ravel()
        i = int(np.argmax(np.abs(kappa)))
        return float(self.knots[(i + 1) // 2]), float(kappa[i])

    # -- other curves from this one ----------------------------------------------
    def offset(self, d: float) -> OffsetCurve:
        """Parallel curve at distance d to the left [mm]; see :class:`OffsetCurve`."""
        return OffsetCurve(self, d)

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Curve:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        c, s = math.cos(turn), math.sin(turn)
        x, y = self.start
        start = (c * x - s * y + dx, s * x + c * y + dy)
        return self._from(start, self.heading + turn)

    def _from(self, start: tuple[float, float], heading: float) -> Curve:
        """Return the same pieces from another start; what is known of them is kept."""
        fresh = copy(self)
        fresh.__dict__.pop("_panels", None)
        fresh.__dict__.update(start=start, heading=heading)
        return fresh

    def reversed(self) -> Curve:
        """Run the same points from the other end; stations keep their places."""
        end, angle = self.point(self.length), float(self.angle(self.length))
        names = {n: self.length - s for n, s in self.stations.items()}
        pieces = tuple(p.reversed() for p in reversed(self.pieces))
        return Curve(pieces, (float(end[0]), float(end[1])), angle + math.pi, names)

    def mirrored(self) -> Curve:
        """Reflect in the x axis."""
        pieces = tuple(replace(p, kappa0=-p.kappa0, kappa1=-p.kappa1) for p in self.pieces)
        return Curve(pieces, (self.start[0], -self.start[1]), -self.heading, self.stations)

    def part(self, s0: float, s1: float) -> Curve:
        """Return the stretch from s0 to s1, 0 <= s0 < s1 <= length [mm]."""
        self._locate([s0, s1])
        if not s1 - s0 > 1e-9:
            raise CurveError(
                f"a stretch from {s0:g} to {s1:g} mm has no length",
                allowed=f"a start below the end, both from 0 to {self.length:g} mm",
            )
        pieces = []
        for a, p in zip(self.knots, self.pieces, strict=False):
            lo, hi = max(s0, a) - a, min(s1, a + p.length) - a
            if hi - lo > 1e-9:
                pieces.append(p.part(float(lo), float(hi)))
        x, y = self.point(s0)
        names = {
            n: min(max(s - s0, 0.0), s1 - s0)
            for n, s in self.stations.items()
            if s0 - 1e-9 <= s <= s1 + 1e-9
        }
        return Curve(tuple(pieces), (float(x), float(y)), float(self.angle(s0)), names)

    def extended(self, before: float, after: float) -> Curve:
        """Add straight run-outs along the end tangents; stations move with their points."""
        head = (Piece(before, 0.0, 0.0),) if before > 0 else ()
        tail = (Piece(after, 0.0, 0.0),) if after > 0 else ()
        shift = max(before, 0.0)
        x, y = np.asarray(self.start) - shift * self.tangent(0.0)
        names = {n: s + shift for n, s in self.stations.items()}
        return Curve((*head, *self.pieces, *tail), (float(x), float(y)), self.heading, names)


@dataclass(frozen=True)
class OffsetCurve:
    """A curve parallel to another, still addressed by the other's arc length.

    A point is ``base.point(s) + d * base.normal(s)``; curvature is
    ``kappa / (1 - kappa d)`` and the length between two places is exactly
    ``(s1 - s0) - d (theta1 - theta0)``.

    Raises
    ------
    CurveError
        Where ``1 - kappa d <= 0``: the offset would fold back on itself.
    """

    base: Curve
    d: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.d):
            raise CurveError(f"an offset of {self.d:g} mm", allowed="a finite distance")
        if (1.0 - self.base.rows[:, 1:] * self.d > 1e-9).all():
            return
        for s0, p in zip(self.base.knots, self.base.pieces, strict=False):
            for s, k in ((s0, p.kappa0), (s0 + p.length, p.kappa1)):
                if not 1.0 - k * self.d > 1e-9:
                    raise CurveError(
                        f"an offset of {abs(self.d):.4g} mm at {s:.4g} mm along the curve folds "
                        f"over: the radius there is {1 / abs(k):.4g} mm",
                        allowed=f"less than {1 / abs(k):.4g} mm towards the centre",
                        todo="ease the curve there or make the part thinner",
                    )

    @property
    def length(self) -> float:
        """Total length [mm]."""
        return self.base.length - self.d * self.base.turn

    def along(self, s: ArrayLike) -> Floats:
        """Own arc length at the base's arc lengths s [mm]."""
        at = np.asarray(s, float)
        return at - self.d * (self.base.angle(at) - self.base.heading)

    def length_between(self, s0: float, s1: float) -> float:
        """Own length between two of the base's arc lengths [mm]."""
        a, b = self.along([s0, s1])
        return float(b - a)

    def kappa(self, s: ArrayLike) -> Floats:
        """Own curvature at the base's arc lengths s [1/mm]."""
        k = self.base.kappa(s)
        return k / (1.0 - k * self.d)

    def angle(self, s: ArrayLike) -> Floats:
        """Heading at the base's arc lengths s [rad]: the base's own."""
        return self.base.angle(s)

    def point(self, s: ArrayLike) -> Floats:
        """Position at the base's arc lengths s, shape s.shape + (2,) [mm]."""
        return self.base.point(s) + self.d * self.base.normal(s)

    def normal(self, s: ArrayLike) -> Floats:
        """Unit normal to the left, shape s.shape + (2,)."""
        return self.base.normal(s)


@cache
def _gauss(count: int) -> tuple[Floats, Floats]:
    """Nodes and weights of the quadrature on -1 to 1."""
    return np.polynomial.legendre.leggauss(count)


def _panel_counts(length: Floats, k0: Floats, k1: Floats) -> Counts:
    """Panels each piece is cut into: one when it is a line or an arc."""
    turn = 0.5 * (np.abs(k0) + np.abs(k1)) * length
    needed = np.where(k0 == k1, 1.0, np.maximum(np.ceil(turn / _PANEL_TURN), 1.0))
    return np.asarray(needed.astype(int))


def _cut(counts: Counts) -> tuple[Floats, Counts]:
    """Cut stretches into equal parts: share of its stretch at which each starts, which stretch."""
    which = np.repeat(np.arange(len(counts)), counts)
    first = np.cumsum(counts) - counts
    return (np.arange(len(which)) - first[which]) / counts[which], which


def _advance(u: Floats, k: Floats, dk: Floats, theta: Floats) -> Floats:
    """Displacement over u from heading theta with curvature k + dk u, shape (n, 2)."""
    straight = dk == 0.0
    if not straight.any():
        return _easement_chords(u, k, dk, theta)
    if straight.all():
        return arc_chords(u, k, theta)
    out, bent = np.empty((u.size, 2)), ~straight
    out[straight] = arc_chords(u[straight], k[straight], theta[straight])
    out[bent] = _easement_chords(u[bent], k[bent], dk[bent], theta[bent])
    return out


def _easement_chords(u: Floats, k: Floats, dk: Floats, theta: Floats) -> Floats:
    """Chords over u where the curvature runs evenly, to rounding, shape (n, 2) [mm]."""
    turn = np.abs(u) * (np.abs(k) + 0.5 * np.abs(dk * u))
    nodes, weights = _gauss(_FEW if turn.max(initial=0.0) <= _SLIGHT_TURN else _MANY)
    t = 0.5 * u[:, None] * (nodes + 1.0)
    angle = theta[:, None] + t * (k[:, None] + 0.5 * dk[:, None] * t)
    half = 0.5 * u
    return np.stack([half * (np.cos(angle) @ weights), half * (np.sin(angle) @ weights)], axis=-1)


def arc_chords(u: Floats, k: Floats, theta: Floats) -> Floats:
    """Chords of arcs of length u that leave at heading theta, shape (n, 2) [mm].

    Exact, and steady as the curvature goes to zero.
    """
    half = 0.5 * k * u
    chord = u * np.sinc(half / np.pi)
    return np.stack([chord * np.cos(theta + half), chord * np.sin(theta + half)], axis=-1)
