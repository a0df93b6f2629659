"""The middle line of a part in its own plane, with what searching along it needs."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from overbend.curve import Curve, Floats

__all__ = ["MidLine", "straight_line"]

_SPACING, _FEWEST, _MOST = 8.0, 17, 401  # mm between samples; bounds of their number
_MANY = 48  # stations from which thinning pays
_EXACT = 1e-7  # mm along the line


@dataclass(frozen=True, eq=False)
class MidLine:
    """A middle line; all pieces made of one part share it.

    Parameters
    ----------
    curve : in the part's plane, as drawn.

    Examples
    --------
    >>> line = straight_line(200.0)
    >>> s, z, past = line.nearest(np.array([[30.0, 4.0], [205.0, 0.0]]))
    >>> s.tolist(), z.tolist(), past.tolist()
    ([30.0, 200.0], [4.0, 0.0], [-30.0, 5.0])
    """

    curve: Curve
    _known: dict[tuple[float, float], Floats] = field(default_factory=dict, repr=False)

    @property
    def length(self) -> float:
        """Arc length [mm]."""
        return self.curve.length

    @cached_property
    def straight(self) -> bool:
        """Whether it bends nowhere."""
        return all(p.kappa0 == 0.0 == p.kappa1 for p in self.curve.pieces)

    @cached_property
    def samples(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Stations, points, tangents and curvature along the line, evenly spaced."""
        count = min(max(math.ceil(self.length / _SPACING) + 1, _FEWEST), _MOST)
        s = self.curve.even_grid(count)
        return s, self.curve.point(s), self.curve.tangent(s), self.curve.kappa(s)

    def stations(self, depth: float, tolerance: float) -> Floats:
        """Stations between which a face departs from its chord by a tolerance.

        Parameters
        ----------
        depth : of the part; its outer face is half of it off the line [mm].
        tolerance : [mm], > 0.

        Returns
        -------
        ndarray, shape (n,) [mm]
            Rising from 0 to the length, n >= 2.
        """
        key = (depth, tolerance)
        if key not in self._known:
            stops = _thinned(_stops(self.curve, depth, tolerance), self.curve, depth, tolerance)
            self._known[key] = np.minimum(stops, self.length)
        return self._known[key]

    def nearest(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Nearest places on the line.

        Parameters
        ----------
        points : in the part's plane, shape (n, 2) [mm].

        Returns
        -------
        s : arc length of the nearest place, shape (n,) [mm].
        z : distance to the left of the line, shape (n,) [mm].
        past : how far beyond the nearer end, along the tangent there; negative beside the
            line, shape (n,) [mm].
        """
        if self.straight:
            return self._nearest_straight(points)
        grid, at, along, kappa = self.samples
        near = ((points[:, None] - at) ** 2).sum(axis=-1).argmin(axis=1)
        s = np.clip(grid[near] + _arc_step(points - at[near], along[near], kappa[near]),
                    0.0, self.length)  # fmt: skip
        for _ in range(3):
            angle = self.curve.angle(s)
            off = points - self.curve.point(s)
            c, t = np.cos(angle), np.sin(angle)
            ahead = off[:, 0] * c + off[:, 1] * t
            z = c * off[:, 1] - t * off[:, 0]
            inside = (s > 0.0) & (s < self.length)
            if np.abs(ahead[inside]).max(initial=0.0) < _EXACT:
                break
            bend = np.maximum(1.0 - self.curve.kappa(s) * z, 0.2)
            s = np.clip(s + ahead / bend, 0.0, self.length)
        return s, z, self._past(s, ahead)

    def _nearest_straight(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        _, at, along, _ = self.samples
        off, t = points - at[0], along[0]
        ahead = off @ t
        z = t[0] * off[:, 1] - t[1] * off[:, 0]
        past = np.maximum(-ahead, ahead - self.length)
        return np.clip(ahead, 0.0, self.length), z, past

    def _past(self, s: Floats, ahead: Floats) -> Floats:
        """How far beyond the ends, from the last step along the tangent."""
        inside = np.maximum(-s, s - self.length)
        beyond = np.where(s <= 0.0, -ahead, ahead)
        return np.where(inside >= 0.0, np.maximum(beyond, 0.0), inside)


def _stops(curve: Curve, depth: float, tolerance: float) -> Floats:
    """Stations by the tightest curvature of each piece."""
    stops = [0.0]
    for piece in curve.pieces:
        k = max(abs(piece.kappa0), abs(piece.kappa1))
        n = 1
        if k > 0.0:
            reach = 1.0 / k + depth / 2
            step = 2.0 * math.acos(max(1.0 - tolerance / reach, 0.0))
            n = max(1, math.ceil(k * piece.length / step))
        stops += [stops[-1] + piece.length * (i + 1) / n for i in range(n)]
    return np.array(stops)


def _thinned(stops: Floats, curve: Curve, depth: float, tolerance: float) -> Floats:
    """Leave out stations where a line made of many short pieces needs fewer.

    Over a stretch of length l that turns by t a chord departs by l t / 4 at most.
    """
    if len(stops) < _MANY:
        return stops
    angle = curve.angle(np.minimum(stops, curve.length))
    turned = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(angle)))])
    keep = [0]
    for k in range(1, len(stops) - 1):
        turn = turned[k + 1] - turned[keep[-1]]
        reach = stops[k + 1] - stops[keep[-1]] + 0.5 * depth * turn
        if 0.25 * reach * turn > tolerance:
            keep.append(k)
    return stops[[*keep, len(stops) - 1]]


def _arc_step(off: Floats, tangent: Floats, kappa: Floats) -> Floats:
    """Arc length to the foot of a point, on the circle that touches the line here."""
    ahead = (off * tangent).sum(axis=1)
    z = tangent[:, 0] * off[:, 1] - tangent[:, 1] * off[:, 0]
    bent = np.abs(kappa) > 1e-12
    safe = np.where(bent, kappa, 1.0)
    turned = np.arctan2(safe * ahead, 1.0 - safe * z) / safe
    return np.asarray(np.where(bent, turned, ahead))


def straight_line(length: float) -> MidLine:
    """Middle line of a straight part: from the origin along u.

    Parameters
    ----------
    length : [mm], > 0.
    """
    from overbend.curve import line

    return MidLine(Curve((line(length),)))
